"""The families there are, a line each. Whoever has a design asks its own `family`; whoever has a name asks here."""

from collections.abc import Callable
from typing import TYPE_CHECKING, Any, NamedTuple

from benchmate.craft.family import AnyFamily
from benchmate.families.alpha.family import ALPHA
from benchmate.families.alpha.reader import AlphaReader
from benchmate.families.braid.family import BRAID
from benchmate.families.braid.reader import BraidReader
from benchmate.families.diagonal.family import DIAGONAL
from benchmate.families.diagonal.reader import DiagonalReader
from benchmate.families.steps.family import STEPS
from benchmate.families.steps.reader import StepsReader
from benchmate.files.family_reader import FamilyReader

if TYPE_CHECKING:
    from benchmate.display.zone import Zone


class Registration(NamedTuple):
    """A family, what reads its part of a file, and what makes its picture beside the step (None where it has none)."""

    family: AnyFamily
    reader: FamilyReader[Any]
    zone: "Callable[[], Zone | None]"


# Only the bench pays for pictures in cells.


def _band() -> "Zone":
    from benchmate.display.band_so_far import BandSoFar

    return BandSoFar(least=64, share=4)


def _picture() -> "Zone":
    from benchmate.display.band_so_far import BandSoFar

    # The drawing says more of a picture than of a band, so the rest keeps less.
    return BandSoFar(least=54, share=3)


def _disk() -> "Zone":
    from benchmate.families.braid.zone import DiskZone

    return DiskZone()


FAMILIES = {
    registration.family.name: registration
    for registration in (
        Registration(DIAGONAL, DiagonalReader(), _band),
        Registration(ALPHA, AlphaReader(), _picture),
        Registration(BRAID, BraidReader(), _disk),
        Registration(STEPS, StepsReader(), lambda: None),
    )
}
"""Every family by its name."""


def register(registration: Registration) -> None:
    """Adds a family to those there are."""
    FAMILIES[registration.family.name] = registration


def zone_of(family: AnyFamily) -> "Zone | None":
    """What a family shows beside the step."""
    return FAMILIES[family.name].zone()
