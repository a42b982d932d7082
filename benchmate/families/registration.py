"""What is registered of a family."""

from collections.abc import Callable
from typing import TYPE_CHECKING, Any, NamedTuple

if TYPE_CHECKING:
    from benchmate.craft.family import AnyFamily
    from benchmate.display.zone import Zone
    from benchmate.files.family_reader import FamilyReader


class Registration(NamedTuple):
    """A family, what reads its part of a file, and what makes its picture beside the step (None where it has none).

    `zone` is called when a picture is wanted, so that only the bench pays for pictures.
    """

    family: "AnyFamily"
    reader: "FamilyReader[Any]"
    zone: "Callable[[], Zone | None]"
