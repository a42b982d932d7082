"""Chooses a thread for every knot from its spots: clean edges, unbroken lines, no fringes."""

from collections import Counter
from collections.abc import Iterator
from operator import eq

from benchmate.craft.colours.colour_difference import LIGHT, Lab, ciede2000, lab_of, levels
from benchmate.picture.sampling import SPOTS, Levels, Sampled, colour_counts, levels_of
from benchmate.picture.threads import Threads

FLAT = 0.6
"""A knot has flat colours when at least this share of its neighbouring spots agree."""

LINE = 0.4
"""The least width, in knots, of a line that is kept even where other colours cover most of each knot."""

FAR = 10.0
"""From this CIEDE2000 difference on, a thread hardly looks like the colour it stands for."""

_IN_A_KNOT = SPOTS * SPOTS
_NEIGHBOURS = 2 * SPOTS * (SPOTS - 1)
# A colour that covers less of a knot is not part of a line through it.
_TRACE = _IN_A_KNOT // 9
_LONGEST_CROSSING = 3
_SHORTEST_LINE = 3
# The most colour differences computed, for any number of threads, which limits the time.
_MOST_COMPARED = 200_000

_NONE = Counter[int]()

Shares = dict[int, Counter[int]]
"""For each knot with several flat colours: the number of spots of each thread."""


def voted(cut: Sampled, threads: Threads) -> list[int]:
    """A thread number for every knot, row by row from the top.

    Each spot gets its nearest thread. If at least `FLAT` of the neighbouring spots agree, the knot has flat colours and
    gets the thread with the most spots, of equals the one nearest to the mean colour. Otherwise the detail is too fine
    for knots, and the knot gets the thread nearest to its mean colour. Then lines are completed and fringes removed.
    """
    lines = _spots_by_thread(cut, threads)
    knots: list[int] = []
    shares: Shares = {}
    for row in range(cut.rows):
        behind = lines[row * SPOTS : (row + 1) * SPOTS]
        for left in range(0, cut.columns * SPOTS, SPOTS):
            seen = b"".join([line[left : left + SPOTS] for line in behind])
            if seen.count(seen[0]) == _IN_A_KNOT:
                knots.append(seen[0])
            elif _agreeing(seen) < FLAT * _NEIGHBOURS:
                knots.append(threads.nearest(cut.mean(len(knots))))
            else:
                shares[len(knots)] = counts = Counter(seen)
                most = max(counts.values())
                equal = sorted(number for number, count in counts.items() if count == most)
                knots.append(threads.nearest_of(cut.mean(len(knots)), equal) if len(equal) > 1 else equal[0])
    return _without_fringes(_with_lines(knots, shares, cut.columns, threads), cut, threads)


def _spots_by_thread(cut: Sampled, threads: Threads) -> list[bytes]:
    """For every line of spots, the number of the thread nearest to each spot."""
    spots, colours = colour_counts(cut.spots, max(64, _MOST_COMPARED // len(threads)))
    nearest = {colour: threads.nearest(colour) for _, colour in colours}
    found = bytes(map(nearest.__getitem__, zip(*(channel.tobytes() for channel in spots.split()), strict=True)))
    return [found[at : at + spots.width] for at in range(0, len(found), spots.width)]


def _agreeing(seen: bytes) -> int:
    """How many pairs of neighbouring spots in a knot, across and down, have the same thread."""
    agreeing: int = sum(map(eq, seen, seen[SPOTS:]))
    for at in range(0, len(seen), SPOTS):
        agreeing += sum(map(eq, seen[at : at + SPOTS - 1], seen[at + 1 : at + SPOTS]))
    return agreeing


def _with_lines(knots: list[int], shares: Shares, columns: int, threads: Threads) -> list[int]:
    """The knots, with lines at least `LINE` knots wide restored where other colours cover most of each knot.

    A line is a colour met in at most three successive knots, down or across, none of which has that colour yet. The
    knots on both sides have other colours, and the line is not a blend of them. The knot with the most of it takes its
    colour. Fewer than three connected knots are not a line: next to a larger patch, two only thicken it.
    """
    mended = list(knots)
    drawn: set[int] = set()
    for line in (*(range(at, len(knots), columns) for at in range(columns)), *_rows(len(knots), columns)):
        crossings: dict[int, list[int]] = {}
        for place, knot in enumerate(line):
            for number, count in shares.get(knot, _NONE).items():
                if count >= _TRACE and number not in (knots[knot], mended[knot]):
                    crossings.setdefault(number, []).append(place)
        for number, places in crossings.items():
            for run in _runs(places):
                sides = [mended[line[at]] for at in (run[0] - 1, run[-1] + 1) if 0 <= at < len(line)]
                amounts = [shares[line[at]][number] for at in run]
                if (
                    len(run) <= _LONGEST_CROSSING
                    and sum(amounts) >= LINE * _IN_A_KNOT
                    and sides
                    and number not in sides
                    and not threads.lies_between(number, sides[0], sides[-1])
                ):
                    knot = line[run[amounts.index(max(amounts))]]
                    mended[knot] = number
                    drawn.add(knot)
    for stroke in _strokes(mended, drawn, knots, columns):
        if len(stroke) < _SHORTEST_LINE:
            for knot in stroke & drawn:
                mended[knot] = knots[knot]
    return mended


def _strokes(mended: list[int], drawn: set[int], knots: list[int], columns: int) -> Iterator[set[int]]:
    """The drawn knots in connected groups of one colour, without the patches they touch."""
    left = set(drawn)
    while left:
        stroke: set[int] = set()
        reached = [min(left)]
        while reached:
            knot = reached.pop()
            if knot not in stroke and (knot in drawn or not _in_a_patch(knot, knots, columns)):
                stroke.add(knot)
                reached += [near for near in around(knot, columns, len(knots)) if mended[near] == mended[knot]]
        left -= stroke
        yield stroke


def _rows(size: int, columns: int) -> list[range]:
    return [range(at, at + columns) for at in range(0, size, columns)]


def _runs(places: list[int]) -> list[list[int]]:
    """Ascending numbers, split where one is missing."""
    runs: list[list[int]] = []
    for place in places:
        if runs and runs[-1][-1] == place - 1:
            runs[-1].append(place)
        else:
            runs.append([place])
    return runs


def around(knot: int, columns: int, size: int) -> list[int]:
    """The up to eight neighbours of a knot in a chart of `size` knots."""
    row, column = divmod(knot, columns)
    return [
        y * columns + x
        for y in range(max(0, row - 1), min(size // columns, row + 2))
        for x in range(max(0, column - 1), min(columns, column + 2))
        if (y, x) != (row, column)
    ]


def _in_a_patch(knot: int, knots: list[int], columns: int) -> bool:
    """Whether the knot is part of a square of four knots of its colour."""
    row, column = divmod(knot, columns)
    for y in (row - 1, row):
        for x in (column - 1, column):
            if y >= 0 and 0 <= x < columns - 1 and (y + 2) * columns <= len(knots):
                at = y * columns + x
                if knots[at] == knots[at + 1] == knots[at + columns] == knots[at + columns + 1] == knots[knot]:
                    return True
    return False


def _without_fringes(knots: list[int], cut: Sampled, threads: Threads) -> list[int]:
    """The knots without fringes: knots that only blend the two on either side, left and right or above and below.

    A knot is a fringe when its mean colour is twice as near to a blend of its sides as to its own thread, and fewer
    than a quarter of its spots look like that thread. It takes the nearer thread of the two sides.
    """
    cleaned = list(knots)
    for knot, own in enumerate(knots):
        column = knot % cut.columns
        for one, other, inside in (
            (knot - 1, knot + 1, 0 < column < cut.columns - 1),
            (knot - cut.columns, knot + cut.columns, cut.columns <= knot < len(knots) - cut.columns),
        ):
            if inside and len({own, knots[one], knots[other]}) == 3:
                mean = cut.mean(knot)
                seen = lab_of(*mean)
                blend = _blend(mean, threads.values[knots[one]], threads.values[knots[other]])
                if (
                    2 * ciede2000(seen, lab_of(*blend)) < ciede2000(seen, threads.labs[own])
                    and 4 * _spots_like(threads.labs[own], knot, cut) < _IN_A_KNOT
                ):
                    cleaned[knot] = threads.nearest_of(mean, [knots[one], knots[other]])
                    break
    return cleaned


def _spots_like(thread: Lab, knot: int, cut: Sampled) -> int:
    """How many spots of a knot look like a thread."""
    row, column = divmod(knot, cut.columns)
    left, top = column * SPOTS, row * SPOTS
    _, colours = colour_counts(cut.spots.crop((left, top, left + SPOTS, top + SPOTS)), _IN_A_KNOT)
    return sum(number for number, colour in colours if ciede2000(lab_of(*colour), thread) < FAR)


def _blend(colour: Levels, one: str, other: str) -> Levels:
    """The blend of two colours, in light, that is nearest to a third."""
    start = [LIGHT[level] for level in levels(one)]
    way = [LIGHT[level] - begin for level, begin in zip(levels(other), start, strict=True)]
    along = sum(step * (LIGHT[level] - begin) for step, level, begin in zip(way, colour, start, strict=True))
    share = min(1.0, max(0.0, along / (sum(step * step for step in way) or 1.0)))
    return tuple(levels_of(begin + share * step) for begin, step in zip(start, way, strict=True))
