"""The cut list: how long to cut every string of a design."""

from collections.abc import Sequence
from math import ceil
from typing import TYPE_CHECKING, NamedTuple

from benchmate.craft.design import written_out
from benchmate.craft.thread.counts import Counts, LeadingUse, StringUse
from benchmate.craft.thread.estimate import UNSEEN_SHARE, Estimate
from benchmate.craft.thread.gauge import Gauge
from benchmate.craft.thread.length_to_cut import Length as Length

if TYPE_CHECKING:
    from benchmate.craft.design import Design
    from benchmate.craft.work import Work


STEP_MM = 10
"""Lengths to cut are rounded up to this."""


class StringCut(NamedTuple):
    """One string: what it does, what it needs and is to have beyond that, and how long to cut it, mm."""

    string: int
    colour: str
    counts: Counts
    needs_mm: float
    spare_mm: float
    cut_mm: float
    slot: int | None = None
    moves: int | None = None


class LeadingCut(NamedTuple):
    """One leading string of a picture."""

    leading: int
    colour: str
    knots: int
    floats_mm: float
    needs_mm: float
    spare_mm: float
    cut_mm: float


class CutList(NamedTuple):
    """All that a design needs: its strings, its leading strings, and the lengths to cut its strings in."""

    gauge: Gauge
    strings: tuple[StringCut, ...]
    leading: tuple[LeadingCut, ...]
    pieces: tuple[Length, ...]
    band_mm: float
    estimated: bool = False

    @property
    def lengths(self) -> tuple[Length, ...]:
        """Every length to cut: the pieces, then the leading strings in order."""
        return (
            *self.pieces,
            *(Length(each.colour, (), each.cut_mm, each.leading) for each in self.leading),
        )

    @property
    def colours(self) -> dict[str, float]:
        """All that is cut of each colour, mm, in the order of the lengths."""
        found: dict[str, float] = {}
        for length in self.lengths:
            found[length.colour] = found.get(length.colour, 0.0) + length.cut_mm
        return found

    def fold_mm(self, length: Length) -> float | None:
        """How far from one end to fold a length whose two strings are of different lengths; None for any other.

        The longer end, which is that far, is the first of its strings.
        """
        if len(length.strings) < 2:
            return None
        longer, shorter = (self._cut_of[string] for string in length.strings)
        return longer if longer > shorter else None

    @property
    def _cut_of(self) -> dict[int, float]:
        return {each.string: each.cut_mm for each in self.strings}


class NothingToCut(ValueError):
    """The design has no strings to cut; the text says why."""


def cut_list(
    design: "Design",
    estimate: Estimate,
    *,
    start: "Design | None" = None,
    finish: "Design | None" = None,
    repeats: int | None = None,
    made: "Work | None" = None,
) -> CutList:
    """What to cut for a design with its start and finish, by what is known of its thread. Raises NothingToCut.

    `repeats` are as those of a piece: -n ends at row n. `made` are the steps as they were really made, where they were
    not made as charted.
    """
    design, repeats = written_out(design, design.repeats if repeats is None else repeats)
    gauge = estimate.gauge
    use = design.family.thread_use(design.body, repeats, gauge, made)
    if use is None:
        raise NothingToCut(f"{design.family.called} alone have no strings to cut")
    start_mm, finish_mm = ends_mm(gauge, start, finish)
    strings = tuple(_string_cut(each, estimate, start_mm + finish_mm) for each in use.strings)
    leading = tuple(_leading_cut(each, estimate) for each in use.leading)
    folded = start is not None and start.family.folds_strings(start.body)
    pieces = _folded(strings) if folded else tuple(Length(each.colour, (each.string,), each.cut_mm) for each in strings)
    return CutList(gauge, strings, leading, pieces, use.band_mm, use.estimated)


def ends_mm(gauge: Gauge, start: "Design | None", finish: "Design | None") -> tuple[float, float]:
    """What start and finish take of each string: what they say themselves, else as in the gauge."""
    start_mm = None if start is None else start.family.uses_mm(start.body)
    finish_mm = None if finish is None else finish.family.uses_mm(finish.body)
    return (
        gauge.start_mm if start_mm is None else start_mm,
        gauge.finish_mm if finish_mm is None else finish_mm,
    )


def rounded_up(mm: float) -> float:
    """A length to cut, up to the next whole centimetre; a floating error above one does not count."""
    return ceil(mm / STEP_MM - 1e-9) * float(STEP_MM)


def _string_cut(use: StringUse, estimate: Estimate, ends: float) -> StringCut:
    needs, spare = use.needs_mm, 0.0
    if needs is None:
        needs, spare = estimate.needs_mm(use.counts), estimate.spare_mm(use.counts)
    else:
        # Nothing is learned of how much the needs of such strings vary.
        spare = UNSEEN_SHARE * needs
    cut = rounded_up(needs + spare + ends)
    return StringCut(use.string, use.colour, use.counts, needs, spare, cut, use.slot, use.moves)


def _leading_cut(use: LeadingUse, estimate: Estimate) -> LeadingCut:
    knots = Counts(made=use.knots)
    needs = estimate.needs_mm(knots) + use.floats_mm
    # A float is a straight way, so once the maker's own knots are known, only they vary.
    spare = estimate.spare_mm(knots) if estimate.gauge.seen else UNSEEN_SHARE * needs
    cut = rounded_up(needs + spare + 2 * estimate.gauge.tail_mm)
    return LeadingCut(use.leading, use.colour, use.knots, use.floats_mm, needs, spare, cut)


def _folded(strings: Sequence[StringCut]) -> tuple[Length, ...]:
    """Two ends of one colour are one length, the longest two first; an odd one is a length of its own."""
    by_colour: dict[str, list[StringCut]] = {}
    for each in strings:
        by_colour.setdefault(each.colour, []).append(each)
    pieces = []
    for colour, ends in by_colour.items():
        ends.sort(key=lambda end: (-end.cut_mm, end.string))
        for at in range(0, len(ends), 2):
            both = ends[at : at + 2]
            pieces.append(Length(colour, tuple(end.string for end in both), sum(end.cut_mm for end in both)))
    return tuple(pieces)
