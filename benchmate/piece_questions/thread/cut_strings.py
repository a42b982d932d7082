"""The lengths that were cut for a piece, with what their strings did."""

from collections.abc import Sequence
from typing import NamedTuple

from benchmate.craft.thread.counts import Counts
from benchmate.craft.thread.cut_list import CutList, Length, StringCut, cut_list, ends_mm
from benchmate.craft.thread.estimate import UNSEEN_SHARE, Estimate
from benchmate.craft.thread.observations import BASE, Measured, Seen, Used
from benchmate.craft.work import Work
from benchmate.store.open_piece import OpenPiece
from benchmate.store.thread.cuts import Cut
from benchmate.store.thread.thread_told import told_of, which
from benchmate.thread_gauges import taught

SAMPLE = 6
"""How many strings are asked about first: the ones that work hardest."""


class String(NamedTuple):
    """A length that was cut for a piece; `ends_mm` is what its ends and its floats took.

    `expected_mm` is what its knots were expected to use, `spare_mm` what would have been cut beyond that.
    `counts` is what its strings did, None for base strings, which were knotted over in `rows` rows, and for strands.
    """

    cut: Cut
    called: str
    ends_mm: float
    expected_mm: float
    spare_mm: float
    counts: Counts | None
    rows: int = 0

    @property
    def length(self) -> Length:
        """The length as it was cut."""
        return self.cut.length

    def used_mm(self, cut_mm: float, left_mm: float) -> float:
        """What its knots used, when so much was cut and left."""
        return cut_mm - left_mm - self.ends_mm

    def seen(self, used_mm: float) -> Seen:
        """What that says of the gauge."""
        return Measured(BASE, self.rows, used_mm) if self.counts is None else Used(self.counts, used_mm)


class CutStrings:
    """What was cut for a piece, by what was kept of it, or else by the cut list of this moment.

    Its strings did what they did in the knots as they were really made.
    """

    def __init__(self, held: OpenPiece) -> None:
        """`held` is a piece that has lengths. Raises StoreError."""
        assert held.piece is not None
        self._held = held
        main = held.whole.main.design
        told = told_of(held.database, held.piece)
        kept = told.was_cut
        self.gauge, self.estimate = taught(held.home, main.thread if kept is None else kept[0])
        to_cut = held.whole.to_cut
        now = to_cut.cuts if to_cut is not None and to_cut.thread.estimate.gauge == self.estimate.gauge else None
        charted = _listed(held, self.estimate) if now is None else now
        self.listed = _listed(held, self.estimate, held.whole.main.work) if held.whole.instead_of else charted
        cut = {which(each.length): each for each in told.lengths_cut}
        rest = [Cut(length) for length in charted.lengths if which(length) not in cut] if kept is None else []
        self.told, self.not_told = list(cut.values()), rest
        """The lengths that are known to be cut, and the others, from the cut list as it is now."""
        self.cuts = [*self.told, *rest]
        self.known = not rest
        """Whether all that was cut is known."""
        strings = [string for string in map(self._string, self.cuts) if string is not None]
        self.strings = sorted(strings, key=lambda string: -string.expected_mm)

    @property
    def teaches(self) -> bool:
        """Whether something is learned of it: nothing of a braid, whose thread is an estimate."""
        return not self.listed.estimated

    @property
    def finish_worked(self) -> bool:
        """Whether the finish is a part of the piece, so that its thread is used already."""
        return self._held.whole.parts[-1] is not self._held.whole.main

    @property
    def ends_mm(self) -> tuple[float, float]:
        """What start and finish take of a string."""
        parts = {part.called: part.design for part in self._held.whole.parts}
        return ends_mm(self.estimate.gauge, parts.get("start"), parts.get("finish"))

    def hangs_at(self, length: Length) -> list[tuple[int, int]]:
        """Where the strings of a length hang now, counted from 1 at the left, each with how many hang.

        Nothing where strings do not change places, or where that is not certain.
        """
        if (
            not self.teaches
            or self.listed.leading
            or any(each in self._held.whole.unsure_strings for each in length.strings)
        ):
            return []
        hanging = self._held.progress.hanging
        return sorted((hanging.index(each) + 1, len(hanging)) for each in length.strings if each in hanging)

    def sample(self) -> list[int]:
        """The places of the hardest-working strings, as they hang now; of base strings, all alike, one is enough."""
        alike = [at for at, string in enumerate(self.strings) if string.rows][:1]
        others = [at for at, string in enumerate(self.strings) if not string.rows][: SAMPLE - len(alike)]
        return [*sorted(others, key=lambda at: self.hangs_at(self.strings[at].length)), *alike]

    def _string(self, cut: Cut) -> String | None:
        """A length with what its strings did; None where the piece has no such string now.

        Nor has it one that another string took over from: what is left is not left of what was cut.
        """
        length, measured = cut.length, self._held.measured
        if length.leading is None and any(each in measured and measured[each].joined for each in length.strings):
            return None
        if length.leading is not None:
            return self._leading(cut, length.leading)
        strings = [each for each in self.listed.strings if each.string in length.strings]
        if not strings or len(strings) < len(length.strings):
            return None
        start, finish = self.ends_mm
        ends = len(strings) * (start + (finish if self.finish_worked else 0.0))
        expected = sum(each.needs_mm for each in strings)
        if self.listed.leading:
            rows = sum(each.counts.stayed for each in strings)
            return String(
                cut, self._called("base string", length, strings), ends, expected, UNSEEN_SHARE * expected, None, rows
            )
        if not self.teaches:
            return String(cut, self._called("slot", length, strings), ends, expected, UNSEEN_SHARE * expected, None)
        counts = Counts(*(sum(each) for each in zip(*(each.counts for each in strings), strict=True)))
        spare = self.estimate.spare_mm(counts)
        return String(cut, self._called("string", length, strings), ends, expected, spare, counts)

    def _called(self, what: str, length: Length, strings: Sequence[StringCut]) -> str:
        colour = self._held.whole.main.design.say(length.colour)
        numbers = " and ".join(str(each.string) for each in strings)
        return f"{colour}, {what}{'s' * (len(strings) > 1)} {numbers}"

    def _leading(self, cut: Cut, number: int) -> String | None:
        found = next((each for each in self.listed.leading if each.leading == number), None)
        if found is None:
            return None
        counts = Counts(made=found.knots)
        return String(
            cut,
            f"{self._held.whole.main.design.say(found.colour)}, leading string {found.leading}",
            2 * self.listed.gauge.tail_mm + found.floats_mm,
            self.estimate.needs_mm(counts),
            self.estimate.spare_mm(counts),
            counts,
        )


def has_lengths(held: OpenPiece) -> bool:
    """Whether a piece that is saved has lengths to cut; told without working out which."""
    to_cut = held.whole.to_cut
    return held.piece is not None and to_cut is not None and to_cut.has_lengths


def teaches(held: OpenPiece) -> bool:
    """Whether something can be learned of the thread of a piece: nothing of a braid, whose thread is an estimate."""
    if not has_lengths(held):
        return False
    design = held.whole.main.design
    if design.family.float_rules(design.body) is not None:
        # What a picture takes is not worked out before it is asked for, as that takes a while in a large one.
        return True
    use = design.family.thread_use(design.body, 1, Estimate().gauge)
    return use is not None and not use.estimated


def _listed(held: OpenPiece, estimate: Estimate, made: Work | None = None) -> CutList:
    parts = {part.called: part.design for part in held.whole.parts}
    repeats = max(held.copy.repeats, 1)
    start, finish = parts.get("start"), parts.get("finish")
    return cut_list(held.whole.main.design, estimate, start=start, finish=finish, repeats=repeats, made=made)
