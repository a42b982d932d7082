"""Registers the family of braids."""

from typing import TYPE_CHECKING

from benchmate.families.braid.family import BRAID
from benchmate.families.braid.reader import BraidReader
from benchmate.families.registration import Registration

if TYPE_CHECKING:
    from benchmate.craft.trouble.trouble import Trouble
    from benchmate.display.zone import Zone


def _zone() -> "Zone":
    from benchmate.families.braid.zone import DiskZone

    return DiskZone()


def _trouble() -> "Trouble":
    from benchmate.families.braid.trouble.braid_trouble import BraidTrouble

    return BraidTrouble()


REGISTRATION = Registration(BRAID, BraidReader(), _zone, _trouble)
