"""What every string of a diagonal band does."""

from collections import Counter
from collections.abc import Iterator

from benchmate.craft.thread.counts import BandUse, Counts, StringUse
from benchmate.craft.thread.gauge import Gauge
from benchmate.craft.thread.variegated.along import Take
from benchmate.families.diagonal.body import Diagonal
from benchmate.families.diagonal.work import DiagonalWork


def thread_use(body: Diagonal, repeats: int, gauge: Gauge, as_made: DiagonalWork | None = None) -> BandUse:
    """The knots each string makes and is carried in, swapping or not; in every other row of the band it waits."""
    work = DiagonalWork(body, repeats) if as_made is None else as_made
    made: Counter[int] = Counter()
    carried: Counter[int] = Counter()
    stayed: Counter[int] = Counter()
    for (knot, left, right), times in work.kinds_of_knots().items():
        knotting, passive = (left, right) if knot.from_left else (right, left)
        made[knotting] += times
        (carried if knot.swaps else stayed)[passive] += times
    strings = []
    for string, colour in enumerate(body.strings, 1):
        busy = made[string], carried[string], stayed[string]
        strings.append(StringUse(string, colour, Counts(*busy, waited=work.rows - sum(busy))))
    return BandUse(tuple(strings), work.rows, work.rows * gauge.row_mm)


def takes(work: DiagonalWork, gauge: Gauge) -> Iterator[Take]:
    """What both strings of every knot take for it, in the order of the chart; for one left out they wait."""
    for row in range(1, work.rows + 1):
        for number in range(*work.span(row)):
            if not work.knotting(number):
                continue
            passive_mm = gauge.carried_mm if work.swapped_at(number) else gauge.stayed_mm
            yield Take(number, work.knotting(number), gauge.made_mm, row, True)
            yield Take(number, work.passive(number), passive_mm, row, False)
