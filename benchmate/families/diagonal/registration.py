"""Registers the family of diagonal bands."""

from typing import TYPE_CHECKING

from benchmate.families.diagonal.family import DIAGONAL
from benchmate.families.diagonal.reader import DiagonalReader
from benchmate.families.registration import Registration

if TYPE_CHECKING:
    from benchmate.craft.trouble.trouble import Trouble
    from benchmate.display.zone import Zone


def _zone() -> "Zone":
    from benchmate.display.band_so_far import BandSoFar

    return BandSoFar(least=64, share=4)


def _trouble() -> "Trouble":
    from benchmate.families.diagonal.trouble.diagonal_trouble import DiagonalTrouble

    return DiagonalTrouble()


REGISTRATION = Registration(DIAGONAL, DiagonalReader(), _zone, _trouble)
