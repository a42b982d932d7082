"""From what to cut: lengths assigned to offcuts and skeins."""

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from decimal import ROUND_FLOOR, Decimal
from math import gcd
from typing import NamedTuple

from benchmate.craft.thread.cut_list import Length
from benchmate.craft.thread.packing.best import Best, Search
from benchmate.craft.thread.packing.problem import Bin, Part, Problem, Stock
from benchmate.craft.thread.usual import USUAL_SCRAP, USUAL_SKEIN

FINEST = 1000
"""Lengths are reckoned in whole parts of a mm, so many to one; a source is never taken for longer than it is."""


class Source(NamedTuple):
    """What can be cut into: an offcut, or a skein. `thread` is its number in the box; None for what is not there."""

    kind: str
    length_mm: float
    thread: int | None = None


class CutSource(NamedTuple):
    """A source that is cut into: the lengths cut from it, by index, and what is left of it, mm."""

    source: Source
    colour: str
    lengths: tuple[int, ...]
    left_mm: float


class Cutting(NamedTuple):
    """Where every length is cut from. `least` is a proven lower bound on the skeins that have to be opened.

    Skeins that are at hand are opened before others are bought.
    """

    sources: tuple[CutSource, ...]
    skeins: int
    least: int
    best_ends: bool = True
    """True when no other cutting with so few skeins is proven to leave less in ends too short to use."""

    @property
    def bought(self) -> int:
        """The skeins that are not at hand."""
        return sum(each.source.kind == "skein" and each.source.thread is None for each in self.sources)


class NotLongEnough(ValueError):
    """A length fits no skein, and there are not offcuts enough that hold it. `index` is the length."""

    def __init__(self, index: int) -> None:
        super().__init__(index)
        self.index = index


def cutting(
    lengths: Sequence[Length],
    at_hand: Mapping[str, Sequence[Source]],
    *,
    skein_mm: float = USUAL_SKEIN,
    scrap_mm: float = USUAL_SCRAP,
    progress: Callable[[str], None] | None = None,
    quick: bool = False,
) -> Cutting:
    """The best cutting: fewest skeins opened, then least in ends shorter than `scrap_mm`. Raises NotLongEnough.

    `at_hand` has for each colour the sources there are, the preferred ones first; skeins of `skein_mm` can be had
    besides. Skeins at hand are opened before others are bought. Up to 60 lengths of a colour it is the best there is;
    beyond that, the best that a search of fixed effort found. `progress` hears of long searches, colour by colour.
    A `quick` search is for a person who waits: it gives a good cutting, mostly the best, and proves little.
    """
    of_colour: dict[str, list[int]] = {}
    for index, length in enumerate(lengths):
        of_colour.setdefault(length.colour, []).append(index)
    sources: list[CutSource] = []
    skeins = least = 0
    best_ends = True
    new = Source("skein", skein_mm)
    for colour, indices in of_colour.items():
        one = _OneColour(
            colour, {index: lengths[index].cut_mm for index in indices}, at_hand.get(colour, ()), new, scrap_mm
        )
        found = one.cutting(progress, quick=quick)
        sources += found.sources
        skeins += found.skeins
        least += found.least
        best_ends &= found.best_ends
    return Cutting(tuple(sources), skeins, least, best_ends)


class _OneColour:
    """The lengths of one colour, and what they can be cut from, in whole numbers."""

    def __init__(
        self, colour: str, lengths: Mapping[int, float], at_hand: Sequence[Source], new: Source, scrap_mm: float
    ) -> None:
        self._colour, self._new = colour, new
        whole = {index: -_whole(-mm) for index, mm in lengths.items()}
        self._unit = gcd(*whole.values())
        sizes = sorted(set(whole.values()), reverse=True)
        self._indices = [[index for index in whole if whole[index] == size] for size in sizes]
        self._at_hand = [each for each in at_hand if _whole(each.length_mm) >= sizes[-1]]
        longest = max([_whole(new.length_mm), *(_whole(each.length_mm) for each in self._at_hand)])
        for index, size in whole.items():
            if size > longest:
                raise NotLongEnough(index)
        # What has to be bought counts more than all that is at hand, and what cannot be cut at all more than anything.
        self._dearest = 1 + sum(each.kind == "skein" for each in self._at_hand)
        stocks = Counter((int(each.kind == "skein"), _whole(each.length_mm)) for each in self._at_hand)
        kinds = [Stock(length, min(many, len(whole)), price) for (price, length), many in sorted(stocks.items())]
        if _whole(new.length_mm) >= sizes[-1]:
            kinds.append(Stock(_whole(new.length_mm), len(whole), self._dearest))
        if sizes[0] > _whole(new.length_mm):
            kinds.append(Stock(sizes[0], len(whole), (len(whole) + 1) * self._dearest))
        # In the largest whole parts that all lengths have: the fewer different ends there are, the shorter the search.
        part = gcd(self._unit, *(stock.length for stock in kinds))
        self._problem = Problem(
            [size // self._unit for size in sizes],
            [len(indices) for indices in self._indices],
            [stock._replace(length=stock.length // part) for stock in kinds],
            self._unit // part,
            -(-_whole(scrap_mm) // part),
        )
        self._part = part

    def cutting(self, progress: Callable[[str], None] | None, *, quick: bool) -> Cutting:
        """The best cutting of this colour."""

        def told() -> None:
            if progress is not None:
                progress(self._colour)

        best = self._long_ones_first(Search(self._problem, told, quick=quick).best(), told)
        for stock, counts in best.bins:
            if self._problem.stocks[stock].price > self._dearest:
                missing = next(kind for kind, count in enumerate(counts) if count)
                raise NotLongEnough(self._indices[missing][0])
        sources = self._sources(best.bins)
        skeins = sum(each.source.kind == "skein" for each in sources)
        return Cutting(tuple(sources), skeins, self._least(best), _ends_are_best(best))

    def _long_ones_first(self, best: Best, told: Callable[[], None]) -> Best:
        """Another packing where the search gave up before it had what fits no skein in the offcuts."""
        problem, whole = self._problem, _whole(self._new.length_mm)
        missing = any(problem.stocks[stock].price > self._dearest for stock, _ in best.bins)
        if not missing or best.opened == best.least_opened:
            return best
        many = sum(size * self._unit > whole for size in problem.sizes)
        able = [at for at, each in enumerate(problem.stocks) if each.length >= problem.sizes[many - 1] * problem.unit]
        stocks = [problem.stocks[at] for at in able]
        long = Problem(problem.sizes[:many], problem.demand[:many], stocks, problem.unit, problem.scrap)
        others = (0,) * (len(problem.sizes) - many)
        fixed = [Bin(able[stock], counts + others) for stock, counts in Search(long, told).best().bins]
        rest = Part(problem, fixed)
        if rest.pieces:
            fixed += [rest.outside(each) for each in Search(rest, told).best().bins]
        opened, waste = problem.cost(fixed)
        return Best(fixed, opened, best.least_opened, waste, 0)

    def _least(self, best: Best) -> int:
        """The fewest skeins in any packing that may be as good as this one or better."""
        return min(sum(divmod(price, self._dearest)) for price in range(best.least_opened, best.opened + 1))

    def _sources(self, bins: Sequence[Bin]) -> list[CutSource]:
        """Sources to the fillings, of equally good ones the preferred, and lengths to the sources."""
        problem = self._problem
        free = list(self._at_hand)
        chosen: list[tuple[int, Source, tuple[int, ...]]] = []
        place = {id(each): at for at, each in enumerate(self._at_hand)}
        for stock, counts in sorted(bins, reverse=True):
            length, _, price = problem.stocks[stock]
            length *= self._part
            fitting = [each for each in free if (_whole(each.length_mm), int(each.kind == "skein")) == (length, price)]
            if fitting and price < self._dearest:
                source = fitting[0]
                free = [each for each in free if each is not source]
            else:
                source = self._new
            chosen.append((place.get(id(source), len(place)), source, counts))
        left = [list(indices) for indices in self._indices]
        found: list[CutSource] = []
        for _, source, counts in sorted(chosen, key=lambda each: each[0]):
            own = [left[kind].pop(0) for kind, count in enumerate(counts) for _ in range(count)]
            rest = _decimal(source.length_mm) - Decimal(problem.fill(counts) * self._unit) / FINEST
            found.append(CutSource(source, self._colour, tuple(own), float(rest)))
        return found


def _ends_are_best(best: Best) -> bool:
    return best.opened == best.least_opened and best.waste == best.least_waste


def _decimal(mm: float) -> Decimal:
    """The number as it is written, not the one next to it that a float holds."""
    return Decimal(repr(mm)) if isinstance(mm, float) else Decimal(mm)


def _whole(mm: float) -> int:
    """The length in whole parts, rounded down."""
    return int((_decimal(mm) * FINEST).to_integral_value(ROUND_FLOOR))
