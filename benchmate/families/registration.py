"""What a family registers."""

from collections.abc import Callable
from typing import TYPE_CHECKING, Any, NamedTuple

if TYPE_CHECKING:
    from benchmate.craft.family import AnyFamily
    from benchmate.display.zone import Zone
    from benchmate.files.family_reader import FamilyReader


class Registration(NamedTuple):
    """A family, the reader of its part of a design file, and a function that makes its zone beside the step.

    The function returns None for a family without a zone. Only the bench calls it, so no command loads a zone.
    """

    family: "AnyFamily"
    reader: "FamilyReader[Any]"
    zone: "Callable[[], Zone | None]"
