"""What a family registers."""

from collections.abc import Callable
from typing import TYPE_CHECKING, Any, NamedTuple

if TYPE_CHECKING:
    from benchmate.craft.family import AnyFamily
    from benchmate.craft.trouble.trouble import Trouble
    from benchmate.display.zone import Zone
    from benchmate.files.family_reader import FamilyReader


def _no_answers() -> "Trouble":
    from benchmate.craft.trouble.trouble import Trouble

    return Trouble()


class Registration(NamedTuple):
    """A family, the reader of its part of a design file, and functions that make what is loaded only when it is needed.

    `zone` makes its zone beside the step, None for a family without one; only the bench calls it, so no command loads a
    zone. `trouble` makes what it can say when something went wrong.
    """

    family: "AnyFamily"
    reader: "FamilyReader[Any]"
    zone: "Callable[[], Zone | None]"
    trouble: "Callable[[], Trouble]" = _no_answers
