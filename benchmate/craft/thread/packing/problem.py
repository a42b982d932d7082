"""A packing problem in whole numbers: sizes, how many of each, and what they can be cut from."""

from collections.abc import Iterable, Sequence
from typing import NamedTuple


class Stock(NamedTuple):
    """What can be cut into: its length, how many there are, and what opening one counts."""

    length: int
    many: int
    price: int


class Bin(NamedTuple):
    """One source that is cut into: the number of its stock, and how many of each size are cut from it."""

    stock: int
    counts: tuple[int, ...]


class Cost(NamedTuple):
    """What a packing counts: first what is opened, then what is left in ends too short to use."""

    opened: int
    waste: int


class Problem:
    """Sizes in multiples of `unit`, longest first, `demand` of each; lengths of stocks and `scrap` are single.

    An end above 0 and under `scrap` is too short to use.
    """

    def __init__(
        self, sizes: Sequence[int], demand: Sequence[int], stocks: Sequence[Stock], unit: int, scrap: int
    ) -> None:
        self.sizes, self.demand, self.stocks = tuple(sizes), tuple(demand), tuple(stocks)
        self.unit, self.scrap = unit, scrap
        self.pieces = sum(demand)
        self.volume = sum(size * many for size, many in zip(sizes, demand, strict=True))
        self.rooms = tuple(min(stock.length // unit, self.volume) for stock in stocks)

    def waste(self, stock: int, fill: int) -> int:
        """What is left of a source that is cut into, where it is too short to use."""
        left = self.stocks[stock].length - fill * self.unit
        return left if left < self.scrap else 0

    def is_ended(self, stock: int, fill: int) -> bool:
        """True where what is left of a source that is cut into is too short to use, or nothing."""
        return self.stocks[stock].length - fill * self.unit < self.scrap

    def fill(self, counts: Iterable[int]) -> int:
        """The sizes of these together."""
        return sum(size * count for size, count in zip(self.sizes, counts, strict=True) if count)

    def cost(self, bins: Iterable[Bin]) -> Cost:
        """What a packing counts."""
        opened = waste = 0
        for stock, counts in bins:
            opened += self.stocks[stock].price
            waste += self.waste(stock, self.fill(counts))
        return Cost(opened, waste)


class Chance:
    """Numbers that look random and are the same on every machine and in every run."""

    def __init__(self, seed: int = 1) -> None:
        self._state = seed

    def below(self, limit: int) -> int:
        """A number from 0 to below `limit`."""
        self._state = (self._state * 6364136223846793005 + 1442695040888963407) % 2**64
        return (self._state >> 33) % limit

    def shuffle(self, items: list[int]) -> None:
        """Puts the items in another order."""
        for at in range(len(items) - 1, 0, -1):
            other = self.below(at + 1)
            items[at], items[other] = items[other], items[at]


class Part(Problem):
    """What is left of a problem when a part of its packing is fixed: these of its `kinds` and of its stocks."""

    def __init__(self, whole: Problem, fixed: Iterable[Bin]) -> None:
        counts, many = list(whole.demand), [stock.many for stock in whole.stocks]
        for stock, own in fixed:
            many[stock] -= 1
            for kind, count in enumerate(own):
                counts[kind] -= count
        self.kinds = [kind for kind, count in enumerate(counts) if count]
        self.from_stocks = [at for at, left in enumerate(many) if left]
        self._whole = len(whole.sizes)
        super().__init__(
            [whole.sizes[kind] for kind in self.kinds],
            [counts[kind] for kind in self.kinds],
            [whole.stocks[at]._replace(many=many[at]) for at in self.from_stocks],
            whole.unit,
            whole.scrap,
        )

    def outside(self, each: Bin) -> Bin:
        """A source of the part as one of the whole problem."""
        counts = [0] * self._whole
        for kind, count in zip(self.kinds, each.counts, strict=True):
            counts[kind] = count
        return Bin(self.from_stocks[each.stock], tuple(counts))

    def inside(self, each: Bin) -> Bin | None:
        """A source of the whole problem as one of the part; None where it holds what is not left."""
        if each.stock not in self.from_stocks:
            return None
        counts = tuple(each.counts[kind] for kind in self.kinds)
        if sum(counts) != sum(each.counts) or any(own > left for own, left in zip(counts, self.demand, strict=True)):
            return None
        return Bin(self.from_stocks.index(each.stock), counts)
