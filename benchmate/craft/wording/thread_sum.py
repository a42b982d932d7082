"""The sum for one string of a cut list, term by term, with where each of its constants comes from."""

from typing import TYPE_CHECKING, NamedTuple

from benchmate.craft.thread.cut_list import CutList, LeadingCut, StringCut, ends_mm
from benchmate.craft.thread.estimate import UNSEEN_SHARE, Estimate
from benchmate.craft.thread.gauge import FLOSS
from benchmate.craft.thread.kinds import KINDS
from benchmate.craft.wording.counting import counted
from benchmate.craft.wording.gauge_words import learned_from

if TYPE_CHECKING:
    from benchmate.craft.design import Design

_KNOTS = (
    ("made", "made_mm", "knots made"),
    ("carried", "carried_mm", "knots carried, changing places"),
    ("stayed", "stayed_mm", "knots carried, staying"),
    ("waited", "waited_mm", "rows waited"),
)


_TIMES = "\N{MULTIPLICATION SIGN}"


class Term(NamedTuple):
    """A line of the sum: what it is for, how it is worked out, how much thread it is, and where it comes from."""

    what: str
    sum: str
    mm: float
    source: str = ""


def terms_of_string(
    cut: StringCut,
    cuts: CutList,
    estimate: Estimate,
    start: "Design | None",
    finish: "Design | None",
) -> list[Term]:
    """The sum for a string, the last term being the length to cut."""
    gauge = cuts.gauge
    if cuts.leading:
        rows = _times(cut.counts.stayed, "base_mm", "rows knotted over", estimate)
        needs, spare = [rows], Term("spare", _percent(cut.spare_mm, cut.needs_mm), cut.spare_mm, "common practice")
    elif cuts.estimated:
        moved = f"{counted(cut.moves or 0, 'move')} in a braid of {cuts.band_mm:.1f} mm"
        needs = [Term("a helix in the braid", moved, cut.needs_mm, "a rough estimate, from its angle alone")]
        spare = Term("spare", _percent(cut.spare_mm, cut.needs_mm), cut.spare_mm, "common practice")
    else:
        needs = [_times(getattr(cut.counts, name), field, what, estimate) for name, field, what in _KNOTS]
        spare = _spare(cut.spare_mm, cut.needs_mm, estimate)
    start_mm, finish_mm = ends_mm(gauge, start, finish)
    ends = [
        _end("start", start_mm, gauge.start_mm, start),
        _end("finish", finish_mm, gauge.finish_mm, finish),
    ]
    return _summed([*needs, spare, *ends], cut.cut_mm)


def terms_of_leading(cut: LeadingCut, estimate: Estimate) -> list[Term]:
    """The sum for a leading string, the last term being the length to cut."""
    tail = estimate.gauge.tail_mm
    knots = _times(cut.knots, "made_mm", "knots made", estimate)
    floats = Term("floats behind", "", cut.floats_mm, "the straight ways, by the size of a knot")
    spare = _spare(cut.spare_mm, cut.needs_mm, estimate)
    ends = Term("two cut ends", f"2 {_TIMES} {tail:g} mm", 2 * tail, "common practice")
    return _summed([knots, floats, spare, ends], cut.cut_mm)


def _summed(terms: list[Term], cut_mm: float) -> list[Term]:
    whole = sum(term.mm for term in terms)
    return [*terms, Term("in all", "", whole), Term("cut", "", cut_mm, "rounded up to a whole centimetre")]


def _times(count: int, field: str, what: str, estimate: Estimate) -> Term:
    constant: float = getattr(estimate.gauge, field)
    return Term(what, f"{count} {_TIMES} {constant:g} mm", count * constant, source_of(field, estimate))


def source_of(field: str, estimate: Estimate) -> str:
    """Where a number of a gauge comes from."""
    gauge, learned = estimate.gauge, estimate.learned
    span = None if learned is None else learned.range_mm(field)
    if span is not None:
        low, high = span
        return f"learned from {learned_from(estimate, field)}, probably {low:.3g} to {high:.3g} mm"
    if gauge.name == FLOSS.name or getattr(gauge, field) == getattr(FLOSS, field):
        return "derived for six-strand floss"
    if gauge.name in KINDS:
        return f"that of floss, for the thickness of {gauge.name}"
    return "that of floss, for the thickness of your thread"


def _spare(spare: float, needs: float, estimate: Estimate) -> Term:
    if not estimate.gauge.seen:
        return Term("spare", _percent(spare, needs), spare, "common practice, until you measure a string")
    return Term("spare", "", spare, f"lasts 49 times in 50, learned from {learned_from(estimate)}")


def _percent(spare: float, needs: float) -> str:
    return f"{UNSEEN_SHARE:.0%} of {needs:.1f} mm"


def _end(called: str, mm: float, usual: float, design: "Design | None") -> Term:
    if design is not None and design.family.uses_mm(design.body) is not None:
        return Term(called, "", mm, f"as its design says: {design.title}")
    return Term(called, "", usual, "as usual; its design can say `uses`")
