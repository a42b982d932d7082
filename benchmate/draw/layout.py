"""Where everything in a drawing of a finished band lies, family by family: a design in, a drawing's values out.

A knot of a diagonal band is two rows high: rows lie half a knot deep. Widths and heights of knots are the defaults for
six-strand floss; the proportions of a drawing are as true as those.
"""

from bisect import bisect_right
from itertools import accumulate, cycle, islice, pairwise

from benchmate.craft.counting import counted
from benchmate.craft.design import Alpha, Braid, Design, Diagonal
from benchmate.craft.drawing import LOOP, MOST_LONG, TAIL, CannotDraw, Crosses, Layout, Point, Strand, Tied, Waits
from benchmate.craft.gauge import ALPHA_ROW, DIAGONAL_ROW, KNOT_WIDE
from benchmate.craft.knots import Knot
from benchmate.craft.work import Band
from benchmate.families.alpha.work import Picture
from benchmate.families.braid.work import Disk

PITCH = KNOT_WIDE / 2
"""What one string adds to the width of a diagonal band, mm: a knot lies across two."""
SLOT_WIDE, MOVE_HIGH = 2.4, 3.0
"""The drawing of a braid: from slot to slot, and from move to move, mm of the drawing, not of the braid.

Chosen so that the way of a move can be followed."""
STRAND = 1.2
"""Thickness of a strand in the drawing of a braid, mm: half of what a slot takes. Chosen."""


def lay_out(design: Design, repeats: int | None = None) -> Layout:
    """The drawing of a design's band worked `repeats` times (as often as the design says when None).

    Raises CannotDraw for a design in written steps. `repeats` must be one that the design can be worked.
    """
    times = design.repeats if repeats is None else repeats
    body = design.body
    if isinstance(body, Diagonal):
        return _diagonal(design, body, times)
    if isinstance(body, Alpha):
        return _alpha(design, body, times)
    if isinstance(body, Braid):
        return _braid(design, body, times)
    raise CannotDraw("a design of the family `steps` has nothing to draw: it is told in words")


def _diagonal(design: Design, body: Diagonal, times: int) -> Layout:
    """Knots in rows that lie half a knot into each other, and the strings between them where they show.

    The knot of positions 1 and 2 begins at the left edge. A string that waits goes by the middle of its position. Where
    a row lies straight under the one before, and not half a knot beside it, it lies a whole knot lower.
    """
    work = Band(body, times)
    lower = [2 if row.start % 2 == before.start % 2 else 1 for before, row in pairwise((body.rows[-1], *body.rows))]
    levels = list(accumulate(islice(cycle(lower), 1, work.rows), initial=1))
    rows = bisect_right(levels, int(MOST_LONG / DIAGONAL_ROW))
    long = levels[rows - 1] * DIAGONAL_ROW
    hanging = work.at_start()
    ways: dict[int, list[Point]] = {string: [(_at(string), -TAIL)] for string in hanging}
    knots: list[Tied] = []
    strands: list[Strand] = []
    waits: list[Waits] = []
    for row, level in enumerate(levels[:rows], 1):
        y = (level - 0.5) * DIAGONAL_ROW
        if row > 1 and level - levels[row - 2] == 2:
            for place, string in enumerate(hanging, 1):
                ways[string].append((_at(place), y - DIAGONAL_ROW))
        taken: set[int] = set()
        for number in range(*work.span(row)):
            tie = work.step(number)
            middle = (tie.left * PITCH, y)
            knots.append(Tied(*middle, tie.knot, body.colour_of(tie.knotting), row, tie.left))
            for string in (tie.left_string, tie.right_string):
                # What goes from one knot straight on to one that touches it does not show.
                if len(ways[string]) > 1 or ways[string][0][1] < 0:
                    strands.append(Strand((*ways[string], middle), body.colour_of(string)))
                ways[string] = [middle]
                taken.add(string)
            if tie.knot.swaps:
                hanging[tie.left - 1 : tie.left + 1] = hanging[tie.left - 1 : tie.left + 1][::-1]
        for place, string in enumerate(hanging, 1):
            if string not in taken:
                ways[string].append((_at(place), y))
                waits.append(Waits(row, place, body.colour_of(string)))
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
    """The middle of a position of a diagonal band."""
    return (place - 0.5) * PITCH


def _alpha(design: Design, body: Alpha, times: int) -> Layout:
    """Knots in columns and rows, base strings that hang out, and a leading string that turns at an edge.

    Leading strings' own ends and floats lie behind the work and are not drawn.
    """
    work = Picture(body, times)
    rows = min(work.rows, int(MOST_LONG / ALPHA_ROW))
    long, wide = rows * ALPHA_ROW, body.columns * KNOT_WIDE
    knots: list[Tied] = []
    for number in range(work.span(rows).end):
        led = work.step(number)
        x, y = (led.column - 0.5) * KNOT_WIDE, (led.row - 0.5) * ALPHA_ROW
        knots.append(Tied(x, y, led.knot, body.colour_of(led.leading), led.row, led.column))
    columns = [(column - 0.5) * KNOT_WIDE for column in range(1, body.columns + 1)]
    strands = [Strand(((x, -TAIL), (x, long + TAIL)), body.base) for x in columns]
    for last, first in zip(knots[body.columns - 1 :: body.columns], knots[body.columns :: body.columns], strict=False):
        if last.colour == first.colour:
            out = wide + LOOP if last.knot is Knot.FORWARD else -LOOP
            turn = ((last.x, last.y), (out, last.y), (out, first.y), (first.x, first.y))
            strands.append(Strand(turn, last.colour))
    return Layout(
        title=design.title,
        colours=design.colours,
        wide=wide,
        long=long,
        rows=rows,
        of_rows=work.rows,
        once=len(body.rows),
        first=body.strings,
        last=body.strings,
        across="column",
        knot_shape="rectangle",
        knots=tuple(knots),
        strands=tuple(strands),
    )


def _braid(design: Design, body: Braid, times: int) -> Layout:
    """The disk cut open between its last slot and its first and laid flat, slot beside slot, against the moves.

    A strand comes straight down while it lies in its slot, and crosses to another where it is moved, by the shorter way
    round; a way that leaves at one edge comes in at the other. What it shows is which strand lies where after how many
    moves, and the rhythm of the moves. What it does not show is the braid: on the disk a strand goes straight across,
    over the middle, and how the rope looks and how long it comes out no move tells.
    """
    work = Disk(body, times)
    moves = min(work.size, int(MOST_LONG / MOVE_HIGH))
    wide, long = body.slots * SLOT_WIDE, moves * MOVE_HIGH
    since = {slot: -TAIL for slot, _ in body.strands}
    lies = work.at_start()
    rests: list[Strand] = []
    ways: list[Strand] = []
    crosses: list[Crosses] = []
    for number in range(moves):
        move = work.step(number)
        colour = body.colour_of(move.strand)
        top, end = number * MOVE_HIGH, (number + 1) * MOVE_HIGH
        by = (move.target - move.source) % body.slots
        by -= body.slots if by > body.slots / 2 else 0
        start, finish = _over(move.source), _over(move.source) + by * SLOT_WIDE
        rests.append(Strand(((start, since.pop(move.source)), (start, top)), colour, STRAND))
        since[move.target] = end
        lies[move.source - 1], lies[move.target - 1] = 0, move.strand
        crosses.append(Crosses(number + 1, move.source, move.target, colour, by))
        ways += [Strand(way, colour, STRAND, True) for way in _crossing((start, top), (finish, end), wide)]
    for slot, top in since.items():
        rests.append(Strand(((_over(slot), top), (_over(slot), long + TAIL)), body.colour_of(lies[slot - 1]), STRAND))
    return Layout(
        title=design.title,
        colours=design.colours,
        wide=wide,
        long=long,
        rows=moves,
        of_rows=work.size,
        once=len(body.moves),
        first=_in_slots(body, work.at_start()),
        last=_in_slots(body, lies),
        unit="move",
        across="slot",
        size=f"{counted(len(body.strands), 'strand')} on a disk of {body.slots} slots, cut open and laid flat",
        strands=(*rests, *ways),
        crosses=tuple(crosses),
    )


def _over(slot: int) -> float:
    return (slot - 0.5) * SLOT_WIDE


def _in_slots(body: Braid, lies: list[int]) -> tuple[str | None, ...]:
    return tuple(body.colour_of(strand) if strand else None for strand in lies)


def _crossing(start: Point, end: Point, wide: float) -> list[tuple[Point, ...]]:
    """The way between two points that turns gently at either, in pieces within 0 to `wide`, or a little more."""
    points: list[Point] = []
    for at in range(17):
        part = at / 16
        # x eases in and out (3t² - 2t³), y runs evenly.
        eased = part * part * (3 - 2 * part)
        points.append((start[0] + (end[0] - start[0]) * eased, start[1] + (end[1] - start[1]) * part))
    edge = 0.0 if end[0] < 0 else wide
    if 0 <= end[0] <= wide:
        return [tuple(points)]
    back = wide if end[0] < 0 else -wide
    beyond = next(at for at, point in enumerate(points) if not 0 <= point[0] <= wide)
    (x1, y1), (x2, y2) = points[beyond - 1], points[beyond]
    y = y1 + (y2 - y1) * (edge - x1) / (x2 - x1)
    # A little beyond either edge, where it is cut off.
    beside = 0.5 * SLOT_WIDE / wide
    return [
        (*points[:beyond], (edge - back * beside, y)),
        ((edge + back + back * beside, y), *((x + back, y) for x, y in points[beyond:])),
    ]
