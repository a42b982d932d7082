"""Laying out a piece in written steps: its strings, if it has any, from left to right."""

from benchmate.craft.family import DesignLike
from benchmate.craft.laying_out import LayingOut, hung_side_by_side
from benchmate.families.steps.body import Steps


def laying_out(design: DesignLike, body: Steps, *, started: bool) -> LayingOut:
    """One colour group a step."""
    return hung_side_by_side(body.strings, design.say_of, started=started)
