"""Laying out a diagonal band: its strings from left to right."""

from benchmate.craft.family import DesignLike
from benchmate.craft.laying_out import LayingOut, hung_side_by_side
from benchmate.families.diagonal.body import Diagonal


def laying_out(design: DesignLike, body: Diagonal, *, started: bool) -> LayingOut:
    """One colour group a step."""
    return hung_side_by_side(body.strings, design.say_of, started=started)
