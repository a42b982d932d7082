"""Charts for tests: from text, in the usual shapes of the trade, and random."""

from collections.abc import Iterable, Iterator, Sequence
from heapq import heapify, heappop, heappush
from random import Random
from typing import NamedTuple

from hypothesis import settings
from hypothesis import strategies as st

from benchmate.craft.colours.colour import Colour
from benchmate.craft.design import Design
from benchmate.craft.family import AnyFamily
from benchmate.craft.knots import Knot
from benchmate.craft.orders import Order, from_sequence
from benchmate.craft.progress import Progress
from benchmate.craft.start_band_finish import WholePiece, whole_piece
from benchmate.craft.work import Step, Work
from benchmate.families.alpha.body import Alpha, alpha
from benchmate.families.alpha.family import ALPHA
from benchmate.families.diagonal.body import Diagonal, Row
from benchmate.families.diagonal.family import DIAGONAL
from benchmate.families.diagonal.work import DiagonalWork
from benchmate.families.steps.body import Instruction, Steps
from benchmate.families.steps.family import STEPS

seeded = settings(derandomize=True, deadline=None, max_examples=50, database=None)
"""Property tests try the same examples on every run."""

TOKENS: list[Knot | None] = [*Knot, None]
PICTURE_COLOURS = ("deep", "foam", "rust")
DIFFERENT = tuple("abcdefghijklmnopqrstuvwxyz")
"""Different colour names, enough for every chart here."""


def row(text: str, start: int = 1) -> Row:
    """A row from its tokens: `row("f -", start=2)`."""
    return Row(start, tuple(None if token == "-" else Knot(token) for token in text.split()))


def chart(strings: str | int, *texts: str) -> Diagonal:
    """A chart from its rows, which start at positions 1, 2, 1, …: `chart("a b", "f", "")` or `chart(2, "f", "")`."""
    names = DIFFERENT[:strings] if isinstance(strings, int) else tuple(strings.split())
    return Diagonal(names, tuple(row(text, 2 - number % 2) for number, text in enumerate(texts, 1)))


def placed(strings: int, rows: int, knots: Iterable[tuple[int, int, Knot]]) -> Diagonal:
    """A chart with usual starts that has exactly these knots: row from 1, position of the left string, knot."""
    at = {(number, left): knot for number, left, knot in knots}
    body = Diagonal(
        DIFFERENT[:strings],
        tuple(
            Row(2 - number % 2, tuple(at.pop((number, left), None) for left in range(2 - number % 2, strings, 2)))
            for number in range(1, rows + 1)
        ),
    )
    assert not at, f"no pair of {strings} strings there: {at}"
    return body


def full(strings: int, rows: int) -> Diagonal:
    """All `f` in full alternating rows."""
    return placed(
        strings,
        rows,
        ((n, left, Knot.FORWARD) for n in range(1, rows + 1) for left in range(2 - n % 2, strings, 2)),
    )


def slanted(strings: int, lengths: Sequence[int]) -> Diagonal:
    """A stripe: from the left edge, string after string goes over as many neighbours as `lengths` says."""
    knots = [
        (1 + 2 * segment + step, 1 + step, Knot.FORWARD)
        for segment, length in enumerate(lengths)
        for step in range(length)
    ]
    return placed(strings, max(number for number, _, _ in knots), knots)


def stripe(strings: int) -> Diagonal:
    """A slanted chart in which every string goes once over all others, so all strings come home."""
    return slanted(strings, [strings - 1] * strings)


def pointed(strings: int, repeats: int) -> Diagonal:
    """An even number of strings: in each repeat the two outermost go over their halves and meet."""
    half = strings // 2
    knots = []
    for repeat in range(repeats):
        for step in range(half - 1):
            number = 1 + 2 * repeat + step
            knots += [(number, 1 + step, Knot.FORWARD), (number, strings - 1 - step, Knot.BACKWARD)]
        knots.append((2 * repeat + half, half, Knot.FORWARD))
    return placed(strings, 2 * (repeats - 1) + half, knots)


def pointed_in_full_rows(strings: int, rows: int) -> Diagonal:
    """An even number of strings: `f` up to the middle and `b` beyond it, in full rows."""
    return placed(
        strings,
        rows,
        (
            (n, left, Knot.FORWARD if left <= strings // 2 else Knot.BACKWARD)
            for n in range(1, rows + 1)
            for left in range(2 - n % 2, strings, 2)
        ),
    )


def random_chart(chance: Random, strings: int, rows: int, tokens: Sequence[Knot | None] = TOKENS) -> Diagonal:
    """Any knots, and one row in four with a start of its own."""
    found = []
    for number in range(1, rows + 1):
        start = chance.randint(1, strings) if chance.random() < 0.25 else 2 - number % 2
        found.append(Row(start, tuple(chance.choice(tokens) for _ in range(start, strings, 2))))
    return Diagonal(DIFFERENT[:strings], tuple(found))


def design(body: Diagonal | Steps, repeats: int = 1, start: str | None = None, finish: str | None = None) -> Design:
    """A design in which the label of every colour is its name."""
    family: AnyFamily = DIAGONAL if isinstance(body, Diagonal) else STEPS
    colours = {name: Colour(name, f"#{at * 4099 % 0xFFFFFF:06x}", name) for at, name in enumerate(body.strings, 1)}
    return Design("Trial", family, colours, body, repeats=repeats, start=start, finish=finish)


def written(*steps: str | tuple[str, int]) -> Steps:
    """Written steps; a counted one is a pair of instruction and times."""
    pairs = [(step, 1) if isinstance(step, str) else step for step in steps]
    return Steps((), tuple(Instruction(do, None, times) for do, times in pairs))


class Traced(NamedTuple):
    """A knot found by tracing the strings by hand; strings are numbers, positions count from 1."""

    row: int
    left: int
    token: str
    knotting: int
    passive: int


def trace(body: Diagonal, repeats: int = 1) -> list[Traced]:
    """The knots of a chart, straight from the table of knots: the knotting string of each, and the swaps."""
    hanging = list(range(1, len(body.strings) + 1))
    found = []
    for number, each in enumerate(body.rows * repeats, 1):
        for at, knot in enumerate(each.knots):
            if knot is not None:
                left = each.start + 2 * at
                found.append(Traced(number, left, knot.value, *tie_by_hand(hanging, left, knot.value)))
    return found


def tie_by_hand(hanging: list[int], left: int, token: str) -> tuple[int, int]:
    """Ties a knot on the strings as they hang; returns the knotting and the passive string."""
    pair = (hanging[left - 1], hanging[left])
    if token in ("f", "b"):
        hanging[left - 1 : left + 1] = pair[::-1]
    return pair if token in ("f", "fb") else (pair[1], pair[0])


def all_below(work: Work) -> list[int]:
    """For every step, a bit mask of all steps it rests on, directly or not."""
    below = [0] * work.size
    for number in range(work.size):
        for other in work.rests_on(number):
            below[number] |= below[other] | 1 << other
    return below


def fewest_pickups(work: Work) -> int:
    """The fewest pick-ups of all orders, by exhaustive search over closed sets and the string in hand."""
    below = all_below(work)
    level: dict[int, dict[int, int]] = {0: {0: 0}}
    for _ in range(work.size):
        following: dict[int, dict[int, int]] = {}
        for tied, least in level.items():
            for number in range(work.size):
                if not tied >> number & 1 and not below[number] & ~tied:
                    maker = work.knotting(number)
                    best = min(count + (in_hand != maker) for in_hand, count in least.items())
                    known = following.setdefault(tied | 1 << number, {})
                    known[maker] = min(best, known.get(maker, best))
        level = following
    return min(level[(1 << work.size) - 1].values())


State = tuple[list[int], list[int], int | None, int]


def state(progress: Progress) -> State:
    """The visible state of a piece: the strings as they hang, the tied steps, the next one, and how many are done."""
    tied = [number for number in range(progress.work.size) if progress.is_tied(number)]
    return list(progress.hanging), tied, progress.next, progress.done


@st.composite
def bodies(draw: st.DrawFn, most_strings: int = 6, most_rows: int = 7) -> Diagonal:
    """Charts of all knots, gaps and starts, some of their strings of one colour."""
    count = draw(st.integers(2, most_strings))
    rows = []
    for number in range(1, draw(st.integers(1, most_rows)) + 1):
        start = draw(st.just(2 - number % 2) | st.integers(1, count))
        rows.append(Row(start, tuple(draw(st.sampled_from(TOKENS)) for _ in range(start, count, 2))))
    return Diagonal(tuple(draw(st.sampled_from("abcdef")) for _ in range(count)), tuple(rows))


@st.composite
def bands(draw: st.DrawFn, most_strings: int = 6, most_rows: int = 7) -> DiagonalWork:
    """Bands of one to three repeats."""
    return DiagonalWork(draw(bodies(most_strings, most_rows)), draw(st.integers(1, 3)))


@st.composite
def orders(draw: st.DrawFn, work: Work) -> Order:
    """Any order in which no step comes before one it rests on."""
    rank = draw(st.permutations(range(work.size)))
    waits_for = [len(work.rests_on(number)) for number in range(work.size)]
    ready = [(rank[number], number) for number in range(work.size) if not waits_for[number]]
    heapify(ready)
    return from_sequence("any", list(_one_by_one(work, rank, waits_for, ready)))


def _one_by_one(work: Work, rank: Sequence[int], waits_for: list[int], ready: list[tuple[int, int]]) -> Iterator[int]:
    while ready:
        _, number = heappop(ready)
        yield number
        for above in work.carries(number):
            waits_for[above] -= 1
            if not waits_for[above]:
                heappush(ready, (rank[above], above))


@st.composite
def ordered_bands(draw: st.DrawFn) -> tuple[DiagonalWork, Order]:
    """A band and any order of it."""
    band = draw(bands())
    return band, draw(orders(band))


@st.composite
def begun_bands(draw: st.DrawFn, least: int = 0) -> Progress:
    """A band in any order, with any closed set of at least `least` knots tied."""
    band, order = draw(ordered_bands().filter(lambda found: found[0].size >= least))
    other = draw(orders(band))
    return Progress.resume(band, order, other.sequence[: draw(st.integers(least, band.size))])


def steps_of(work: Work) -> list[Step]:
    """Every step in the order of the chart."""
    return [work.step(number) for number in range(work.size)]


def picture(body: Alpha, repeats: int = 1) -> WholePiece:
    """A picture in the colours of `pictures`, as a piece."""
    colours = {name: Colour(name, "#000000", name) for name in PICTURE_COLOURS}
    return whole_piece(Design("T", ALPHA, colours, body), None, None, repeats)


@st.composite
def pictures(draw: st.DrawFn) -> WholePiece:
    """Small pictures of up to three colours, with one or two repeats."""
    columns, rows = draw(st.integers(1, 7)), draw(st.integers(1, 5))
    names = st.sampled_from(PICTURE_COLOURS[: draw(st.integers(1, 3))])
    chart = draw(st.lists(st.lists(names, min_size=columns, max_size=columns), min_size=rows, max_size=rows))
    body = alpha("deep", tuple(map(tuple, chart)), draw(st.sampled_from(("left", "right"))))
    return picture(body, draw(st.integers(1, 2)))
