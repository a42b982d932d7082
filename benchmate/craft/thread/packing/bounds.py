"""What any packing opens and leaves at least, from the lengths all together."""

from benchmate.craft.thread.packing.problem import Problem

MOST_SUMS = 1_000_000
"""The most sums of ends that are looked at."""


def opened_by_volume(problem: Problem) -> int:
    """The least that any packing opens: what the offcuts cannot hold together needs others."""
    stocks = list(zip(problem.stocks, problem.rooms, strict=True))
    left = problem.volume - sum(room * stock.many for stock, room in stocks if not stock.price)
    opened = 0
    for price in sorted({stock.price for stock, _ in stocks if stock.price}, reverse=True):
        # The dearest are opened for what all cheaper ones do not hold, the largest first.
        over = left - sum(room * stock.many for stock, room in stocks if 0 < stock.price < price)
        for room, many in sorted(((room, stock.many) for stock, room in stocks if stock.price == price), reverse=True):
            if over > 0:
                used = min(many, -(-over // room))
                opened += used * price
                over -= used * room
                left -= used * room
    return opened


def ends_by_volume(problem: Problem, opened: int) -> int:
    """The least that is left in short ends when just so much is opened, all of it skeins of one length."""
    left = _left_in_all(problem, opened)
    if left is None or not 0 <= left < problem.scrap:
        return 0
    # Nothing is left but in short ends and in offcuts that are not cut into, and these are whole.
    whole = {0}
    for stock in problem.stocks:
        for _ in range(0 if stock.price else stock.many):
            whole |= {each + stock.length for each in whole if each + stock.length <= left}
    return left - max(whole)


def ends_by_sums(problem: Problem, opened: int) -> int:
    """The same, from the ends that sums of the lengths can leave of each source; 0 where that takes too long."""
    left = _left_in_all(problem, opened)
    if left is None or left < 0:
        return 0
    reach = 1
    for size, many in zip(problem.sizes, problem.demand, strict=True):
        for _ in range(many):
            reach |= reach << size
    # What the sources so far leave together, and the least of it in short ends.
    least = {0: 0}
    work = 0
    for at, stock in enumerate(problem.stocks):
        fills = [fill for fill in range(1, problem.rooms[at] + 1) if reach >> fill & 1]
        ends = {stock.length - fill * problem.unit: problem.waste(at, fill) for fill in fills}
        if not stock.price:
            ends[stock.length] = 0
        ends = {end: short for end, short in ends.items() if end <= left}
        for _ in range(opened // stock.price if stock.price else stock.many):
            work += len(least) * len(ends)
            if work > MOST_SUMS:
                return 0
            least = _added(least, ends, left)
    return least.get(left, 0)


def ends_where_all_end(problem: Problem, opened: int, fewest: int) -> int:
    """The same where so many sources at least have a short end or none: where these are all, nothing is kept."""
    left = _left_in_all(problem, opened)
    sources = sum(opened // stock.price if stock.price else stock.many for stock in problem.stocks)
    return 0 if left is None or fewest < sources else left


def _added(least: dict[int, int], ends: dict[int, int], most: int) -> dict[int, int]:
    found: dict[int, int] = {}
    for together, lost in least.items():
        for end, short in ends.items():
            total = together + end
            if total <= most and lost + short < found.get(total, lost + short + 1):
                found[total] = lost + short
    return found


def _left_in_all(problem: Problem, opened: int) -> int | None:
    """What all sources leave together; None where what is opened does not say which skeins."""
    priced = [stock for stock in problem.stocks if stock.price]
    if len(priced) != 1:
        return None
    left = priced[0].length * (opened // priced[0].price) - problem.volume * problem.unit
    return left + sum(stock.length * stock.many for stock in problem.stocks if not stock.price)
