"""The threads of a picture, and the nearest one to a colour."""

from collections.abc import Mapping
from math import dist

from benchmate.craft.colours.colour_difference import Lab, ciede2000, lab, lab_of
from benchmate.picture.sampling import Levels


class Threads:
    """Threads by number, in the order given; at least one.

    `names`, `values` (`#rrggbb`) and `labs` (L*a*b*) are all in that order.
    """

    def __init__(self, colours: Mapping[str, str]) -> None:
        self.names = tuple(colours)
        self.values = tuple(colours.values())
        self.labs: list[Lab] = [lab(value) for value in self.values]
        self._nearest: dict[Levels, int] = {}

    def __len__(self) -> int:
        return len(self.names)

    def nearest(self, colour: Levels) -> int:
        """The number of the thread nearest to `colour` by CIEDE2000; of equals, the first."""
        found = self._nearest.get(colour)
        if found is None:
            found = self._nearest[colour] = self.nearest_of(colour, range(len(self.labs)))
        return found

    def nearest_of(self, colour: Levels, numbers: range | list[int]) -> int:
        """The one of `numbers` whose thread is nearest to `colour`; of equals, the first."""
        seen = lab_of(*colour)
        return min(numbers, key=lambda number: ciede2000(seen, self.labs[number]))

    def difference(self, one: int, other: int) -> float:
        """The CIEDE2000 difference between two threads."""
        return ciede2000(self.labs[one], self.labs[other])

    def lies_between(self, number: int, one: int, other: int) -> bool:
        """Whether a thread is nearer to each of two others, in Lab, than they are to each other."""
        middle, first, last = self.labs[number], self.labs[one], self.labs[other]
        return max(dist(middle, first), dist(middle, last)) < dist(first, last)
