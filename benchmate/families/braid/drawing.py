"""The layout of a drawing of a braid: its disk, cut open and laid flat."""

from collections.abc import Iterator, Mapping, Sequence
from itertools import groupby

from benchmate.craft.drawing import MOST_LONG, TAIL, Layout, MovedStrand, Point, Strand
from benchmate.craft.family import DesignLike
from benchmate.craft.wording.counting import counted
from benchmate.families.braid.body import Braid
from benchmate.families.braid.work import BraidWork

SLOT_WIDE, MOVE_HIGH = 2.4, 3.0
"""The distance between slots and between moves, mm of the drawing (not of the braid), wide enough to follow a move."""
STRAND = 1.2
"""Thickness of a strand in the drawing, mm: half the width of a slot. Chosen."""


def lay_out(design: DesignLike, body: Braid, times: int) -> Layout:
    """The disk, cut open between its last and first slot: slots from left to right, moves from top to bottom.

    A strand runs straight down while it stays in its slot and crosses to another slot when it moves, the shorter way
    round; a line that leaves at one edge comes back at the other. The drawing shows which strand lies where after each
    move, and the rhythm of the moves. It does not show the finished braid: the moves tell neither its look nor its
    length.
    """
    work = BraidWork(body, times)
    along = design.thread_along(work)
    moves = min(work.size, int(MOST_LONG / MOVE_HIGH))
    wide, long = body.slots * SLOT_WIDE, moves * MOVE_HIGH
    # What every strand shows before each move and after the last, where any is variegated.
    parts = [along.now(lambda _: False, number) for number in range(moves + 1)]
    since = dict.fromkeys((slot for slot, _ in body.strands), -1)
    lies = work.at_start()
    at_rest: list[tuple[int, ...]] = []
    rests: list[Strand] = []
    ways: list[Strand] = []
    crosses: list[MovedStrand] = []
    for number in range(moves):
        move = work.step(number)
        colour = body.colour_of(move.strand)
        top, end = number * MOVE_HIGH, (number + 1) * MOVE_HIGH
        by = (move.target - move.source) % body.slots
        by -= body.slots if by > body.slots / 2 else 0
        start, finish = _over(move.source), _over(move.source) + by * SLOT_WIDE
        part = parts[number].get(move.strand, 0)
        rests += _at_rest(body, move.source, move.strand, (since.pop(move.source), number), moves, parts)
        since[move.target] = number + 1
        work.change_places(number, lies)
        crosses.append(MovedStrand(number + 1, move.source, move.target, colour, by, part))
        at_rest.append(_parts(lies, parts[number + 1]))
        crossing = _crossing((start, top), (finish, end), wide)
        ways += [Strand(way, colour, STRAND, True, part) for way in crossing]
    for slot, first in since.items():
        rests += _at_rest(body, slot, lies[slot - 1], (first, moves + 1), moves, parts)
    varies = bool(parts[0])
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
        first_parts=_parts(work.at_start(), parts[0]) if varies else (),
        last_parts=at_rest[-1] if varies else (),
        rest_parts=tuple(at_rest) if varies else (),
    )


def _parts(lies: list[int], parts: Mapping[int, int]) -> tuple[int, ...]:
    return tuple(parts.get(strand, 0) for strand in lies)


def _at_rest(
    body: Braid, slot: int, strand: int, moves: tuple[int, int], of_moves: int, parts: Sequence[Mapping[int, int]]
) -> Iterator[Strand]:
    """A strand that stays in its slot from the first of these moves up to the second: a piece for each of its parts.

    Move -1 and the one after the last of all stand for what sticks out.
    """
    x, (first, end) = _over(slot), moves
    shows = [parts[max(0, number)].get(strand, 0) for number in range(first, end)]
    for part, alike in groupby(range(first, end), key=lambda number: shows[number - first]):
        here = [*alike]
        top = here[0] * MOVE_HIGH if here[0] >= 0 else -TAIL
        below = of_moves * MOVE_HIGH + TAIL if here[-1] == of_moves else (here[-1] + 1) * MOVE_HIGH
        yield Strand(((x, top), (x, below)), body.colour_of(strand), STRAND, part=part)


def _over(slot: int) -> float:
    return (slot - 0.5) * SLOT_WIDE


def _in_slots(body: Braid, lies: list[int]) -> tuple[str | None, ...]:
    return tuple(body.colour_of(strand) if strand else None for strand in lies)


def _crossing(start: Point, end: Point, wide: float) -> list[tuple[Point, ...]]:
    """A smooth line between two points, split where it leaves one edge (0 or `wide`) and comes back at the other."""
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
    # A little beyond each edge, where the drawing cuts it off.
    beside = 0.5 * SLOT_WIDE / wide
    return [
        (*points[:beyond], (edge - back * beside, y)),
        ((edge + back + back * beside, y), *((x + back, y) for x, y in points[beyond:])),
    ]
