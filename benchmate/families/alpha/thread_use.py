"""What every string of a picture does."""

from collections.abc import Iterator

from benchmate.craft.thread.counts import BandUse, Counts, LeadingUse, StringUse
from benchmate.craft.thread.gauge import Gauge
from benchmate.craft.thread.variegated.along import Take
from benchmate.families.alpha.body import Alpha
from benchmate.families.alpha.work import AlphaWork


def thread_use(body: Alpha, repeats: int, gauge: Gauge) -> BandUse:
    """A base string is knotted over in every row. The leading strings are those of the plan, their floats by a gauge.

    The plan is by the rules of the body, which have the width of a knot and the height of a row of their own: a piece
    half made keeps those that it was planned by, while the gauge learns.
    """
    work = AlphaWork(body, repeats)
    length = work.rows * gauge.base_mm
    base = tuple(
        StringUse(string, colour, Counts(stayed=work.rows), needs_mm=length)
        for string, colour in enumerate(body.strings, 1)
    )
    measured_by = body.rules._replace(wide=gauge.wide_mm, high=gauge.base_mm)
    knots, floats, colours = [0] * work.plan.strings, [0.0] * work.plan.strings, [""] * work.plan.strings
    for stretch in work.plan.stretches:
        at = stretch.leading - 1
        knots[at] += stretch.knots
        colours[at] = body.colour_of(work.knotting(stretch.first))
        if stretch.float is not None:
            floats[at] += stretch.float.length(measured_by)
    leading = tuple(
        LeadingUse(number, *each) for number, each in enumerate(zip(colours, knots, floats, strict=True), 1)
    )
    return BandUse(base, work.rows, length, leading)


def takes(body: Alpha, work: AlphaWork, gauge: Gauge) -> Iterator[Take]:
    """What the leading string and the base string of every knot take for it, and floats, in working order."""
    measured_by = body.rules._replace(wide=gauge.wide_mm, high=gauge.base_mm)
    for stretch in work.plan.stretches:
        first, string = stretch.first, work.knotting(stretch.first)
        if stretch.float is not None:
            mm = stretch.float.length(measured_by)
            yield Take(-1, string, mm, work.row_of(first), True, stretch.leading)
        for number in range(first, first + stretch.knots):
            row = work.row_of(number)
            yield Take(number, string, gauge.made_mm, row, True, stretch.leading)
            yield Take(number, work.passive(number), gauge.base_mm, row, False)
