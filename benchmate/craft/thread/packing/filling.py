"""Good packings quickly: one source after the other is filled, and parts of a packing are packed again."""

from collections.abc import Sequence

from benchmate.craft.thread.packing.problem import Bin, Chance, Cost, Problem

Packing = list[Bin]
NOTHING: Packing = []


class Filler:
    """Fills sources one by one, each as far as the lengths that are left allow."""

    def __init__(self, problem: Problem, chance: Chance) -> None:
        self._problem, self._chance = problem, chance
        free = [at for at, stock in enumerate(problem.stocks) if not stock.price]
        self.free = sorted(free, key=lambda at: problem.stocks[at].length)
        priced = [at for at, stock in enumerate(problem.stocks) if stock.price]
        self.priced = sorted(priced, key=lambda at: (problem.stocks[at].price, -problem.stocks[at].length))

    def packed(
        self, counts: Sequence[int], available: Sequence[int], *, clean: bool, mixed: bool, usual: bool = False
    ) -> Packing:
        """A packing of these lengths into what is available of each stock; nothing where it found none.

        `clean` leaves ends long enough to use where it can, `mixed` prefers other lengths than the longest ones,
        `usual` takes the offcuts in their order.
        """
        left, stock_left = list(counts), list(available)
        total = sum(left)
        bins: Packing = []
        order = [at for at in self.free for _ in range(stock_left[at])]
        if not usual:
            pick = self._chance.below(4)
            if pick == 0:
                order.reverse()
            elif pick > 1:
                self._chance.shuffle(order)
        for at in order:
            if not total:
                break
            counted = self._filled(at, left, clean=clean, mixed=mixed, forced=False)
            if counted is not None:
                bins.append(Bin(at, counted))
                total -= sum(counted)
                stock_left[at] -= 1
        while total:
            next_one = self._next(left, stock_left)
            if next_one is None:
                return NOTHING
            at = next_one
            counted = self._filled(at, left, clean=clean, mixed=mixed, forced=True)
            if counted is None:
                return NOTHING
            bins.append(Bin(at, counted))
            total -= sum(counted)
            stock_left[at] -= 1
        return bins

    def _next(self, left: Sequence[int], stock_left: Sequence[int]) -> int | None:
        """The stock to open next: the cheapest that holds the longest length, then the longest that is available."""
        rooms, sizes = self._problem.rooms, self._problem.sizes
        longest = next(size for size, many in zip(sizes, left, strict=True) if many)
        for at in self.priced:
            if stock_left[at] and rooms[at] >= longest:
                return at
        return None

    def _filled(self, at: int, left: list[int], *, clean: bool, mixed: bool, forced: bool) -> tuple[int, ...] | None:
        """What is cut from one source, taken off `left`; with `forced`, the longest that is left is in it."""
        problem = self._problem
        sizes, room = problem.sizes, problem.rooms[at]
        counts = [0] * len(sizes)
        base = 0
        if forced:
            first = next(kind for kind, many in enumerate(left) if many and sizes[kind] <= room)
            counts[first] = 1
            left[first] -= 1
            base = sizes[first]
        room -= base
        kinds = [kind for kind, many in enumerate(left) for _ in range(min(many, room // sizes[kind]))]
        if mixed:
            self._chance.shuffle(kinds)
        else:
            kinds.reverse()
            if kinds and self._chance.below(2):
                # A few neighbours change places, so that another run finds another packing of the same fill.
                for _ in range(3):
                    one = self._chance.below(len(kinds))
                    kinds[one], kinds[one - 1] = kinds[one - 1], kinds[one]
        mask = (1 << room + 1) - 1
        reach = 1
        before: list[int] = []
        full = 1 << room
        for kind in kinds:
            before.append(reach)
            reach |= reach << sizes[kind] & mask
            if reach & full:
                break
        fill = self._chosen(at, reach, base, clean=clean)
        if not fill + base:
            return None
        for place in range(len(before) - 1, -1, -1):
            size = sizes[kinds[place]]
            if fill >= size and before[place] >> fill - size & 1 and (place or fill):
                fill -= size
                counts[kinds[place]] += 1
                left[kinds[place]] -= 1
            if not fill:
                break
        return tuple(counts)

    def _chosen(self, at: int, reach: int, base: int, *, clean: bool) -> int:
        """How far to fill it: as far as possible, or so that the end is long enough to use."""
        problem = self._problem
        most = reach.bit_length() - 1
        if not clean or not problem.waste(at, most + base):
            return most
        long_enough = (problem.stocks[at].length - problem.scrap) // problem.unit - base
        if long_enough < 0:
            return most if base else 0
        return (reach & (1 << long_enough + 1) - 1).bit_length() - 1


class Improver:
    """Betters a packing: a few of its sources are emptied and filled again."""

    def __init__(self, problem: Problem, chance: Chance) -> None:
        self._problem, self._chance = problem, chance
        self._filler = Filler(problem, chance)
        self.best: Packing = []
        self.cost = Cost(0, 0)
        self.now: Packing = []
        self._rank: tuple[int, int, int] = (0, 0, 0)

    def begin(self, rounds: int) -> None:
        """Packs everything some times, and keeps the best."""
        problem = self._problem
        available = [stock.many for stock in problem.stocks]
        for turn in range(rounds):
            self.take(
                self._filler.packed(
                    problem.demand, available, clean=turn % 4 in (1, 2), mixed=turn % 3 == 2, usual=turn < 2
                )
            )

    def take(self, bins: Packing) -> bool:
        """Takes a packing of everything if it is better than the best one so far."""
        if not bins:
            return False
        cost = self._problem.cost(bins)
        if self.best and cost >= self.cost:
            return False
        self.best, self.cost = bins, cost
        return True

    def again(self, *, ends: bool) -> None:
        """Goes on from the best packing."""
        self.go_on_from(self.best, ends=ends)

    def go_on_from(self, bins: Packing, *, ends: bool) -> None:
        """Goes on from another packing."""
        self.now, self._rank = bins, self._ranked(bins, ends=ends)

    def step(self, *, ends: bool) -> bool:
        """Packs a few sources again; with `ends` such first as leave ends too short to use. True for a new best."""
        problem, chance, now = self._problem, self._chance, self.now
        many = min(len(now), 2 + chance.below(3))
        chosen = {chance.below(len(now)) for _ in range(many)}
        if ends:
            wasteful = [at for at, each in enumerate(now) if problem.waste(each.stock, problem.fill(each.counts))]
            if wasteful:
                chosen.add(wasteful[chance.below(len(wasteful))])
        else:
            emptiest = min(
                (at for at, each in enumerate(now) if problem.stocks[each.stock].price),
                key=lambda at: problem.fill(now[at].counts) + chance.below(3),
                default=0,
            )
            chosen.add(emptiest)
        kept = [each for at, each in enumerate(now) if at not in chosen]
        counts = [0] * len(problem.sizes)
        for at in chosen:
            for kind, count in enumerate(now[at].counts):
                counts[kind] += count
        available = [stock.many for stock in problem.stocks]
        for each in kept:
            available[each.stock] -= 1
        mixed, clean = chance.below(3) > 0, bool(chance.below(2)) if ends else False
        again = self._filler.packed(counts, available, clean=clean, mixed=mixed)
        if not again:
            return False
        bins = kept + again
        rank = self._ranked(bins, ends=ends)
        if rank > self._rank and chance.below(40):
            return False
        self.now, self._rank = bins, rank
        return self.take(bins)

    def _ranked(self, bins: Packing, *, ends: bool) -> tuple[int, int, int]:
        """What the next packing is compared by: its cost, then how unevenly the opened ones are filled."""
        problem = self._problem
        opened = waste = bought = uneven = 0
        for stock, counts in bins:
            fill, price = problem.fill(counts), problem.stocks[stock].price
            waste += problem.waste(stock, fill)
            if price:
                opened += price
                bought += fill
                uneven += fill * fill
        return (opened, waste, -uneven) if ends else (opened, bought, -uneven)
