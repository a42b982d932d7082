"""Parts of a packing packed again, each as well as it can be."""

from benchmate.craft.thread.packing.columns import SCALE, Aim, Duals
from benchmate.craft.thread.packing.covering import Cover, fillings, room_to_leave
from benchmate.craft.thread.packing.filling import Improver, Packing
from benchmate.craft.thread.packing.problem import Bin, Chance, Problem, Stock

MOST_FILLINGS = 1500
MOST_NODES = 1500


class Repacker:
    """Takes some sources of a packing and looks among all packings of what is cut from them for a better one."""

    def __init__(self, problem: Problem, improver: Improver, chance: Chance) -> None:
        self._problem, self._improver, self._chance = problem, improver, chance
        self._many = 4.0
        self.work = 0

    def step(self, *, ends: bool) -> bool:
        """Packs some sources again; true when the packing became better."""
        problem, now = self._problem, self._improver.now
        chosen = self._chosen(now, ends=ends)
        part, kinds, stocks = self._part(now, chosen)
        bins = [Bin(stocks.index(now[at].stock), tuple(now[at].counts[kind] for kind in kinds)) for at in chosen]
        cost = part.cost(bins)
        if ends:
            aim, target = Aim(cost.opened), cost.waste - 1
        else:
            opened = [problem.stocks[now[at].stock].price for at in chosen]
            aim, target = Aim(), cost.opened - min((price for price in opened if price), default=1)
        if target < 0:
            return False
        free = Duals((0,) * len(kinds), (0,) * len(stocks), 0, 0, 0)
        leave = room_to_leave(part, target if aim.opened is None else aim.opened)
        if leave < 0:
            return False
        found = fillings(part, free, aim, target * SCALE, leave, MOST_FILLINGS)
        self.work += MOST_FILLINGS if found is None else len(found)
        if found is None:
            self._many = max(2.0, self._many - 0.3)
            return False
        cover = Cover(part, aim, free, target, found)
        again = cover.search(MOST_NODES, lambda: None)
        self.work += cover.nodes
        self._many += -0.2 if cover.nodes > MOST_NODES else 0.1
        if again is None:
            return False
        kept = [each for at, each in enumerate(now) if at not in chosen]
        for stock, counts in again:
            whole = [0] * len(problem.sizes)
            for kind, count in zip(kinds, counts, strict=True):
                whole[kind] = count
            kept.append(Bin(stocks[stock], tuple(whole)))
        self._improver.go_on_from(kept, ends=ends)
        return self._improver.take(kept)

    def _chosen(self, now: Packing, *, ends: bool) -> list[int]:
        problem, chance = self._problem, self._chance
        others = list(range(len(now)))
        chance.shuffle(others)
        fills = [problem.fill(each.counts) for each in now]
        if ends:
            short = {at: problem.waste(now[at].stock, fills[at]) for at in others}
            wasteful = [at for at in others if short[at]]
            first = wasteful[:1]
            if chance.below(2):
                # Several short ends together can be one that is long enough.
                wasteful.sort(key=short.__getitem__, reverse=True)
                first, together = [], 0
                for at in wasteful:
                    if together >= problem.scrap:
                        break
                    first.append(at)
                    together += short[at]
            return list(dict.fromkeys([*first, *others]))[: max(len(first) + 1, 2, round(self._many))]
        # One source less is opened only where the others have room for all that is cut from it.
        emptiest = sorted(others, key=lambda at: problem.rooms[now[at].stock] - fills[at], reverse=True)
        opened = [at for at in emptiest if problem.stocks[now[at].stock].price]
        first = opened[:1]
        room = -fills[first[0]] if first else 0
        for at in emptiest:
            if room >= 0:
                break
            if at not in first:
                first.append(at)
                room += problem.rooms[now[at].stock] - fills[at]
        return list(dict.fromkeys([*first, *others]))[: max(len(first) + 1, round(self._many))]

    def _part(self, now: Packing, chosen: list[int]) -> tuple[Problem, list[int], list[int]]:
        """The problem of these sources alone, with a few that are not cut into; its kinds and its stocks."""
        problem, chance = self._problem, self._chance
        counts = [sum(now[at].counts[kind] for at in chosen) for kind in range(len(problem.sizes))]
        kinds = [kind for kind, count in enumerate(counts) if count]
        used = [0] * len(problem.stocks)
        for each in now:
            used[each.stock] += 1
        many: dict[int, int] = {}
        for at in chosen:
            many[now[at].stock] = many.get(now[at].stock, 0) + 1
        unused = [at for at, stock in enumerate(problem.stocks) if not stock.price and used[at] < stock.many]
        chance.shuffle(unused)
        for at in unused[:3]:
            many[at] = many.get(at, 0) + 1
        stocks = sorted(many)
        part = Problem(
            [problem.sizes[kind] for kind in kinds],
            [counts[kind] for kind in kinds],
            [Stock(problem.stocks[at].length, many[at], problem.stocks[at].price) for at in stocks],
            problem.unit,
            problem.scrap,
        )
        return part, kinds, stocks
