"""Variegated thread: its colours follow one another along it, each for some length, over and over."""

from bisect import bisect_right
from collections.abc import Sequence
from itertools import accumulate

from benchmate.craft.colours.colour import ColourLength
from benchmate.craft.colours.colour_difference import as_value, lab, lights_of

MOST_IN_A_THREAD, MOST_IN_A_DESIGN = 100, 1000
"""The most colours in a sequence, and in all sequences of a design."""
LEAST_MM, MOST_MM = 1, 100_000
"""The least and the most length of a colour of a sequence, mm."""


def average(sequence: Sequence[ColourLength]) -> str:
    """The colour `#rrggbb` that stands for a whole thread: the mean along it in CIE L*a*b*.

    There, equal steps look about equal; a mean that no screen can show becomes the nearest in each of its lights.
    """
    total = sum(each.mm for each in sequence)
    lightness, a, b = (sum(each.mm * lab(each.value)[axis] for each in sequence) / total for axis in range(3))
    return as_value(lights_of((lightness, a, b)))


class Parts:
    """The parts of a sequence along a thread that begins where the first of them begins, over and over.

    `backwards` is the other half of a length that is folded there: it begins with the last part, and runs to the first.
    """

    def __init__(self, sequence: Sequence[ColourLength], *, backwards: bool = False) -> None:
        order = range(len(sequence))
        self._parts = tuple(reversed(order) if backwards else order)
        self._lengths = [sequence[part].mm for part in self._parts]
        self._ends = list(accumulate(self._lengths))
        self._values = [sequence[part].value for part in self._parts]
        self._once: dict[str, float] = {}
        for value, mm in zip(self._values, self._lengths, strict=True):
            self._once[value] = self._once.get(value, 0.0) + mm

    def part(self, begins: float, mm: float) -> int:
        """The part whose colour has the largest share of `mm` of thread, `begins` mm from the beginning.

        Of colours with equal shares, the one that comes first. Where it comes several times, its first part there.
        """
        around = self._ends[-1]
        begins %= around
        # Rounding may leave a place at the very end, which is the beginning.
        first = bisect_right(self._ends, begins) % len(self._ends)
        here = self._ends[first] - begins if begins < self._ends[first] else self._lengths[first]
        if 2 * here >= mm:
            return self._parts[first]
        whole, rest = divmod(mm, around)
        shares = {value: whole * length for value, length in self._once.items()} if whole else {}
        seen: dict[str, int] = {}
        at, long = first, here
        for _ in range(len(self._ends) + 1):
            value, taken = self._values[at], min(long, rest)
            shares[value] = shares.get(value, 0.0) + taken
            seen.setdefault(value, at)
            rest -= taken
            if rest <= 0 and not whole:
                break
            at = (at + 1) % len(self._ends)
            long = self._lengths[at]
        most = max(seen, key=shares.__getitem__)
        return self._parts[seen[most]]
