"""A thread in the maker's box."""

from collections.abc import Sequence
from decimal import Decimal
from typing import NamedTuple

from benchmate.craft.wording.counting import counted, listed

MOST_MM = 10_000_000
"""The most millimetres of a thread."""
MOST_THREADS = 10_000
"""The most threads in a box, and so the most that are added at once."""
SKEIN, OFFCUT = "skein", "offcut"
EMPTY_BOX = "Your box is empty."


class BoxThread(NamedTuple):
    """A skein or an offcut. `number` is its own for good; `kind` is the name of a gauge; `colour` is `#rrggbb`.

    `whole` is true for a skein that was not cut into yet. `price` is that of a whole skein, in the maker's money.
    """

    number: int
    name: str
    colour: str
    kind: str
    mm: float
    whole: bool
    price: Decimal | None = None

    @property
    def sort(self) -> str:
        """`skein` or `offcut`."""
        return SKEIN if self.whole else OFFCUT


def skeins_and_offcuts(threads: Sequence[BoxThread]) -> str:
    """How many there are: `2 skeins and 1 offcut`; empty for none."""
    skeins = sum(thread.whole for thread in threads)
    counts = (skeins, SKEIN), (len(threads) - skeins, OFFCUT)
    return listed([counted(count, sort) for count, sort in counts if count])
