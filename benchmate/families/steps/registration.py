"""Registers the family of pieces in written steps."""

from benchmate.families.registration import Registration
from benchmate.families.steps.family import STEPS
from benchmate.families.steps.reader import StepsReader

REGISTRATION = Registration(STEPS, StepsReader(), lambda: None)
