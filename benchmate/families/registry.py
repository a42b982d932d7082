"""The list of all families. Code that has a design asks its `family`; code that has a name looks it up here."""

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
    """A family, its reader, and the maker of its zone beside the step (None for a family without one)."""

    family: AnyFamily
    reader: FamilyReader[Any]
    zone: "Callable[[], Zone | None]"


# The imports stay inside: only the bench needs these zones.


def _band_zone() -> "Zone":
    from benchmate.display.band_so_far import BandSoFar

    return BandSoFar(least=64, share=4)


def _alpha_zone() -> "Zone":
    from benchmate.display.band_so_far import BandSoFar

    # A picture needs more room than a plain band, so the rest of the screen keeps less.
    return BandSoFar(least=54, share=3)


def _disk_zone() -> "Zone":
    from benchmate.families.braid.zone import DiskZone

    return DiskZone()


FAMILIES = {
    registration.family.name: registration
    for registration in (
        Registration(DIAGONAL, DiagonalReader(), _band_zone),
        Registration(ALPHA, AlphaReader(), _alpha_zone),
        Registration(BRAID, BraidReader(), _disk_zone),
        Registration(STEPS, StepsReader(), lambda: None),
    )
}
"""Every family by its name."""


def register(registration: Registration) -> None:
    """Adds a family."""
    FAMILIES[registration.family.name] = registration


def zone_of(family: AnyFamily) -> "Zone | None":
    """The zone a family shows beside the step."""
    return FAMILIES[family.name].zone()
