"""The layout of a drawing of a finished diagonal band.

A knot is two rows high: rows overlap by half a knot. Knots have the default width and height for six-strand floss, so
the proportions are estimates too.
"""

from bisect import bisect_right
from itertools import accumulate, cycle, islice, pairwise

from benchmate.craft.drawing import MOST_LONG, TAIL, DrawnKnot, Layout, Point, Strand, WaitingString
from benchmate.craft.family import DesignLike
from benchmate.craft.gauge import DIAGONAL_ROW, KNOT_WIDE
from benchmate.families.diagonal.body import Diagonal
from benchmate.families.diagonal.work import DiagonalWork

PITCH = KNOT_WIDE / 2
"""What a string adds to the width of the band, mm: a knot lies across two."""


def lay_out(design: DesignLike, body: Diagonal, times: int) -> Layout:
    """Knots in rows that overlap by half a knot, and the strings between them where they show.

    The knot of positions 1 and 2 begins at the left edge. A waiting string runs down the middle of its position. A row
    with the same starts as the row before lies a whole knot lower, not half a knot.
    """
    work = DiagonalWork(body, times)
    lower = [2 if row.start % 2 == before.start % 2 else 1 for before, row in pairwise((body.rows[-1], *body.rows))]
    levels = list(accumulate(islice(cycle(lower), 1, work.rows), initial=1))
    rows = bisect_right(levels, int(MOST_LONG / DIAGONAL_ROW))
    long = levels[rows - 1] * DIAGONAL_ROW
    hanging = work.at_start()
    ways: dict[int, list[Point]] = {string: [(_at(string), -TAIL)] for string in hanging}
    knots: list[DrawnKnot] = []
    strands: list[Strand] = []
    waits: list[WaitingString] = []
    for row, level in enumerate(levels[:rows], 1):
        y = (level - 0.5) * DIAGONAL_ROW
        if row > 1 and level - levels[row - 2] == 2:
            for place, string in enumerate(hanging, 1):
                ways[string].append((_at(place), y - DIAGONAL_ROW))
        taken: set[int] = set()
        for number in range(*work.span(row)):
            knot = work.step(number)
            middle = (knot.left * PITCH, y)
            knots.append(DrawnKnot(*middle, knot.knot, body.colour_of(knot.knotting), row, knot.left))
            for string in (knot.left_string, knot.right_string):
                # A string between two knots that touch does not show.
                if len(ways[string]) > 1 or ways[string][0][1] < 0:
                    strands.append(Strand((*ways[string], middle), body.colour_of(string)))
                ways[string] = [middle]
                taken.add(string)
            work.change_places(number, hanging)
        for place, string in enumerate(hanging, 1):
            if string not in taken:
                ways[string].append((_at(place), y))
                waits.append(WaitingString(row, place, body.colour_of(string)))
    for place, string in enumerate(hanging, 1):
        strands.append(Strand((*ways[string], (_at(place), long + TAIL)), body.colour_of(string)))
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
    )


def _at(place: int) -> float:
    """The middle of a position."""
    return (place - 0.5) * PITCH
