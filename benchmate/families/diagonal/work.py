"""A diagonal band, unrolled knot by knot."""

from array import array
from bisect import bisect_right
from collections import Counter
from collections.abc import Collection, Sequence
from copy import copy
from functools import cached_property
from itertools import compress

from benchmate.craft.knots import Knot
from benchmate.craft.steps_in_doubt import InDoubt
from benchmate.craft.trouble.made_otherwise import EVERY_KIND, Made, MadeOtherwise
from benchmate.craft.work import Links, ReportProgress, RowSpan, SegmentPlan, StringInHand, Work, distinct, links
from benchmate.families.diagonal.body import Diagonal, DiagonalKnot

KNOTS = tuple(Knot)
NO_KNOT = len(KNOTS)
CODE: dict[Knot | None, int] = {**{knot: code for code, knot in enumerate(KNOTS)}, None: NO_KNOT}
SWAPS = (*(knot.swaps for knot in KNOTS), False)
FROM_LEFT = (*(knot.from_left for knot in KNOTS), True)
"""What each code of a knot does; one more code, `NO_KNOT`, is that of a step in which the knot is left out."""


class DiagonalWork(Work):
    """The knots of a diagonal band. Two knots depend on each other only when they share a string."""

    works_from_right = True
    positions_per_step = 2

    def __init__(self, body: Diagonal, repeats: int) -> None:
        self.strings = body.strings
        self.rows = len(body.rows) * repeats
        self._codes = bytearray()
        self._left = array("H")
        self._left_string = array("H")
        self._right_string = array("H")
        self._row_ends = array("L", [0])
        self._unroll(body, repeats)
        self.size = len(self._codes)

    def _unroll(self, body: Diagonal, repeats: int) -> None:
        plan: list[tuple[bytes, array[int], list[int], list[bool] | None, int, int]] = []
        for row in body.rows:
            lefts = range(row.start, row.start + 2 * len(row.knots), 2)
            codes, positions = bytes(map(CODE.__getitem__, row.knots)), array("H", lefts)
            swaps = [left for left, code in zip(lefts, codes, strict=True) if SWAPS[code]]
            gaps = None
            if NO_KNOT in codes:
                gaps = [code != NO_KNOT for code in codes]
                codes, positions = bytes(compress(codes, gaps)), array("H", compress(lefts, gaps))
            plan.append((codes, positions, swaps, gaps, row.start - 1, row.start - 1 + 2 * len(row.knots)))
        hanging = list(range(1, len(body.strings) + 1))
        for _ in range(repeats):
            for codes, positions, swaps, gaps, first, end in plan:
                lefts_now, rights_now = hanging[first:end:2], hanging[first + 1 : end : 2]
                self._codes += codes
                self._left += positions
                self._left_string.extend(lefts_now if gaps is None else compress(lefts_now, gaps))
                self._right_string.extend(rights_now if gaps is None else compress(rights_now, gaps))
                self._row_ends.append(len(self._codes))
                for left in swaps:
                    hanging[left - 1], hanging[left] = hanging[left], hanging[left - 1]
        self.at_end = hanging
        """The numbers of the strings, left to right, when every knot is tied."""

    def made_otherwise(self, made: MadeOtherwise) -> "DiagonalWork":
        """The same steps with the same numbers, of which those in `made` are made otherwise.

        Every other step is made at its pair as before, with the strings that hang there now. What rests on what stays
        the same: the last step before that took one of two positions took a string that hangs there now.
        """
        changed = copy(self)
        changed._codes = bytearray(self._codes)
        changed._left_string, changed._right_string = array("H", self._left_string), array("H", self._right_string)
        for number, knot in made.items():
            changed._codes[number] = CODE[knot]
        hanging = self.at_start()
        for number, left in enumerate(self._left):
            changed._left_string[number], changed._right_string[number] = hanging[left - 1], hanging[left]
            if SWAPS[changed._codes[number]]:
                hanging[left - 1], hanging[left] = hanging[left], hanging[left - 1]
        changed.at_end = hanging
        return changed

    def in_doubt(self, doubted: Collection[int]) -> "DiagonalWork":
        """The same knots, where it is not known of some of them whether their two strings changed places."""
        return WorkInDoubt(self, doubted)

    def how_made(self, number: int) -> Made:
        """The kind of the knot."""
        return EVERY_KIND[self._codes[number]]

    def step(self, number: int) -> DiagonalKnot:
        """The knot itself."""
        if number < 0:
            raise IndexError(number)
        return DiagonalKnot(
            self.row_of(number),
            self._left[number],
            EVERY_KIND[self._codes[number]],
            self._left_string[number],
            self._right_string[number],
        )

    def row_of(self, number: int) -> int:
        """The row of a knot, from 1, through all repeats."""
        return bisect_right(self._row_ends, number)

    def span(self, row: int) -> RowSpan:
        """The knots of a row."""
        return RowSpan(self._row_ends[row - 1], self._row_ends[row])

    def swapped_at(self, number: int) -> int:
        """The left position of the pair when the knot swaps it, else 0."""
        return self._left[number] if SWAPS[self._codes[number]] else 0

    def knotting(self, number: int) -> int:
        """The number of the knotting string; 0 for a knot left out."""
        if self._codes[number] == NO_KNOT:
            return 0
        return (self._left_string if FROM_LEFT[self._codes[number]] else self._right_string)[number]

    def passive(self, number: int) -> int:
        """The number of the passive string; 0 for a knot left out."""
        if self._codes[number] == NO_KNOT:
            return 0
        return (self._right_string if FROM_LEFT[self._codes[number]] else self._left_string)[number]

    def kinds_of_knots(self) -> Counter[tuple[Knot, int, int]]:
        """How often each knot is tied between the same two strings: the knot, the left string, the right one."""
        counts = Counter(zip(self._codes, self._left_string, self._right_string, strict=True))
        found = ((code, left, right, times) for (code, left, right), times in counts.items() if code != NO_KNOT)
        return Counter({(KNOTS[code], left, right): times for code, left, right, times in found})

    def takes(self, number: int) -> tuple[int, int]:
        """The numbers of the left and the right string, also of a knot left out."""
        return self._left_string[number], self._right_string[number]

    def hand(self, number: int) -> int:
        """The knotting string; for a knot left out the left one."""
        return (self._left_string if FROM_LEFT[self._codes[number]] else self._right_string)[number]

    def left(self, number: int) -> int:
        """The position, from 1, of the left string of the pair."""
        return self._left[number]

    def from_left(self, number: int) -> bool:
        """True when the left string of the pair makes the knot, and for a knot left out."""
        return FROM_LEFT[self._codes[number]]

    def rests_on(self, number: int) -> tuple[int, ...]:
        """The last knots before this one on its two strings; lowest first, each once."""
        below_left, below_right, _, _ = self._links
        return distinct(below_left[number], below_right[number])

    def carries(self, number: int) -> tuple[int, ...]:
        """The next knots after this one on its two strings; lowest first, each once."""
        _, _, above_left, above_right = self._links
        return distinct(above_left[number], above_right[number])

    @cached_property
    def _links(self) -> Links:
        """For every knot, its neighbours below and above on its left string and on its right one."""
        return links(self._left_string, self._right_string, len(self.strings))

    def picked_at(self, number: int) -> int:
        """The position of the knotting string before the knot, for a knot left out that of the left one."""
        return self._left[number] + (not FROM_LEFT[self._codes[number]])

    def fewest_pickups(self) -> int:
        """The fewest pick-ups of any order of the knots."""
        # Imported inside: only planning needs it.
        from benchmate.families.diagonal.segments import fewest_pickups

        return fewest_pickups(self)

    def fewest_left(self, tied: Collection[int], hands: StringInHand) -> int:
        """The fewest pick-ups of any order of the open knots."""
        from benchmate.families.diagonal.open_knots import OpenKnots
        from benchmate.families.diagonal.segments import Segments
        from benchmate.families.diagonal.travel import Search

        knots = OpenKnots(self, tied)
        return Search(knots, Segments(knots), hands).pickups

    def plan_segments(
        self, tied: Collection[int], hands: StringInHand, *, from_right: bool, report: ReportProgress | None = None
    ) -> SegmentPlan:
        """The open knots, segment by segment, with the least travel of the hands."""
        from benchmate.families.diagonal.open_knots import OpenKnots
        from benchmate.families.diagonal.segments import Segments
        from benchmate.families.diagonal.travel import Search

        knots = OpenKnots(self, tied, from_right=from_right)
        found = Search(knots, Segments(knots), hands, report).best()
        return SegmentPlan([knots.number[knot] for knot in found.knots], found.settled, found.least_travel)

    def can_follow(self, steps: Sequence[int]) -> bool:
        """True when the knots at every position come in the order of the chart."""
        latest = [-1] * (len(self.strings) + 2)
        for step in steps:
            if not 0 <= step < self.size:
                return False
            left = self.left(step)
            if step < latest[left] or step < latest[left + 1]:
                return False
            latest[left] = latest[left + 1] = step
        return True


class WorkInDoubt(InDoubt, DiagonalWork):
    """The knots of a band with some in doubt: of those only the places are known.

    The two strings of each may have changed places or not. So of every knot after it, the kind and the place are known,
    and the strings unless one of these two is among them. Where both have one colour, nothing of that can be seen.
    """

    def __init__(self, work: DiagonalWork, doubted: Collection[int]) -> None:
        super().__init__(work, doubted)
        self._after: list[tuple[int, frozenset[int]]] = [(-1, frozenset())]
        """The strings of which nobody knows where they hang, after every step that makes more of them so."""
        for number in sorted(self._doubted):
            pair, unsure = frozenset(work.takes(number)), self._after[-1][1]
            if len({work.strings[string - 1] for string in pair}) > 1 or pair & unsure:
                self._after.append((number, unsure | pair))
        self.unsure_strings = self._after[-1][1]

    def step(self, number: int) -> DiagonalKnot:
        """The knot as far as it is certain."""
        step = super().step(number)
        if number in self._doubted:
            return step._replace(knot=None, left_string=0, right_string=0, unsure=True)
        unsure = next(strings for after, strings in reversed(self._after) if after < number)
        left, right = (0 if string in unsure else string for string in (step.left_string, step.right_string))
        return step._replace(left_string=left, right_string=right)

    def knotting(self, number: int) -> int:
        """The number of the knotting string; 0 where that is not certain, and for a knot left out."""
        return self.step(number).knotting

    def colour_in_doubt(self, number: int) -> bool:
        """True of a knot in doubt, and of one that a string makes of which nobody knows which one it is."""
        return number in self._doubted or (self.how_made(number) is not None and not self.knotting(number))


def order_after_one_repeat(body: Diagonal) -> tuple[str, ...]:
    """The colour names of the strings, left to right, after one repeat."""
    return tuple(map(body.colour_of, DiagonalWork(body, 1).at_end))
