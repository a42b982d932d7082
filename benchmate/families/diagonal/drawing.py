"""The layout of a drawing of a finished diagonal band.

A knot is two rows high: rows overlap by half a knot. Knots have the default width and height for six-strand floss, so
the proportions are estimates too.
"""

from bisect import bisect_right
from itertools import accumulate, cycle, islice, pairwise

from benchmate.craft.drawing import MOST_LONG, TAIL, DrawnKnot, Layout, Point, Strand, WaitingString
from benchmate.craft.family import DesignLike
from benchmate.craft.thread.gauge import FLOSS
from benchmate.families.diagonal.body import Diagonal
from benchmate.families.diagonal.work import DiagonalWork

PITCH = FLOSS.wide_mm / 2
"""What a string adds to the width of the band, mm: a knot lies across two."""


def lay_out(design: DesignLike, body: Diagonal, times: int, as_made: DiagonalWork | None = None) -> Layout:
    """Knots in rows that overlap by half a knot, and the strings between them where they show.

    The knot of positions 1 and 2 begins at the left edge. A waiting string runs down the middle of its position. A row
    with the same starts as the row before lies a whole knot lower, not half a knot.

    `as_made` are the knots as they were really made; at one that was left out both strings wait.
    """
    work = DiagonalWork(body, times) if as_made is None else as_made
    along = design.thread_along(work)
    lower = [2 if row.start % 2 == before.start % 2 else 1 for before, row in pairwise((body.rows[-1], *body.rows))]
    levels = list(accumulate(islice(cycle(lower), 1, work.rows), initial=1))
    rows = bisect_right(levels, int(MOST_LONG / FLOSS.row_mm))
    long = levels[rows - 1] * FLOSS.row_mm
    hanging = work.at_start()
    at_first = along.now(lambda _: False, 0)
    ways: dict[int, list[Point]] = {string: [(_at(string), -TAIL)] for string in hanging}
    knots: list[DrawnKnot] = []
    strands: list[Strand] = []
    waits: list[WaitingString] = []
    for row, level in enumerate(levels[:rows], 1):
        y = (level - 0.5) * FLOSS.row_mm
        if row > 1 and level - levels[row - 2] == 2:
            for place, string in enumerate(hanging, 1):
                ways[string].append((_at(place), y - FLOSS.row_mm))
        taken: set[int] = set()
        for number in range(*work.span(row)):
            knot = work.step(number)
            if knot.knot is None:
                continue
            middle = (knot.left * PITCH, y)
            made = along.made(number)
            knots.append(DrawnKnot(*middle, knot.knot, body.colour_of(knot.knotting), row, knot.left, made))
            for string in (knot.left_string, knot.right_string):
                # A string between two knots that touch does not show.
                if len(ways[string]) > 1 or ways[string][0][1] < 0:
                    strands.append(_strand(body, string, (*ways[string], middle), along.of_step(number).get(string, 0)))
                ways[string] = [middle]
                taken.add(string)
            work.change_places(number, hanging)
        for place, string in enumerate(hanging, 1):
            if string not in taken:
                ways[string].append((_at(place), y))
                waits.append(WaitingString(row, place, body.colour_of(string), along.waiting(string, row)))
    drawn = work.span(rows).end
    at_last = along.now(lambda step: step < drawn, drawn)
    for place, string in enumerate(hanging, 1):
        strands.append(_strand(body, string, (*ways[string], (_at(place), long + TAIL)), at_last.get(string, 0)))
    return Layout(
        title=design.title,
        colours=design.colours,
        wide=len(hanging) * PITCH,
        long=long,
        rows=rows,
        of_rows=work.rows,
        once=len(body.rows),
        first=body.strings,
        last=tuple(map(body.colour_of, hanging)),
        knots=tuple(knots),
        strands=tuple(strands),
        waits=tuple(waits),
        first_parts=tuple(at_first.get(string, 0) for string in work.at_start()) if at_first else (),
        last_parts=tuple(at_last.get(string, 0) for string in hanging) if at_last else (),
    )


def _strand(body: Diagonal, string: int, way: tuple[Point, ...], part: int) -> Strand:
    return Strand(way, body.colour_of(string), part=part)


def _at(place: int) -> float:
    """The middle of a position."""
    return (place - 0.5) * PITCH
