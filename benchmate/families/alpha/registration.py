"""Registers the family of alpha bands."""

from typing import TYPE_CHECKING

from benchmate.families.alpha.family import ALPHA
from benchmate.families.alpha.reader import AlphaReader
from benchmate.families.registration import Registration

if TYPE_CHECKING:
    from benchmate.craft.trouble.trouble import Trouble
    from benchmate.display.zone import Zone


def _zone() -> "Zone":
    from benchmate.display.band_so_far import BandSoFar

    # A picture needs more room than a plain band, so the rest of the screen keeps less.
    return BandSoFar(least=54, share=3)


def _trouble() -> "Trouble":
    from benchmate.families.alpha.trouble.alpha_trouble import AlphaTrouble

    return AlphaTrouble()


REGISTRATION = Registration(ALPHA, AlphaReader(), _zone, _trouble)
