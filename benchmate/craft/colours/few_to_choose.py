"""The best choice of a different colour for each thread where there are few colours to choose from, such as sixteen.

All colours that are far enough from one another make up groups. Within a group any colours may be chosen together, so
the cheapest choice from it is an assignment, and the best of all groups is the best choice there is.
"""

from collections.abc import Iterator, Sequence
from itertools import combinations
from math import inf

from benchmate.craft.colours.colour_difference import difference

Costs = Sequence[Sequence[float]]
"""For each thread, what each of the colours costs."""


def cheapest_apart(costs: Costs, choice: Sequence[str], enough: float) -> list[str]:
    """The cheapest different colours for all threads that are `enough` apart.

    Where there are none, the greatest distance between colours that can be kept takes the place of `enough`. There are
    no more threads than colours.
    """
    pairs = {(one, other): difference(choice[one], choice[other]) for one, other in combinations(range(len(choice)), 2)}
    for apart in (enough, *sorted({each for each in pairs.values() if each < enough}, reverse=True)):
        far = [0] * len(choice)
        for (one, other), between in pairs.items():
            if between >= apart:
                far[one] |= 1 << other
                far[other] |= 1 << one
        found: tuple[float, list[int]] = (inf, [])
        for group in _groups(far, 0, (1 << len(choice)) - 1, 0):
            members = [at for at in range(len(choice)) if group >> at & 1]
            if len(members) >= len(costs):
                within = [[mine[at] for at in members] for mine in costs]
                if sum(map(min, within)) < found[0]:
                    total, taken = assigned(within)
                    found = min(found, (total, [members[at] for at in taken]))
        if found[0] < inf:
            return [choice[at] for at in found[1]]
    raise ValueError("more threads than colours")


def _groups(far: Sequence[int], group: int, wider: int, seen: int) -> Iterator[int]:
    """Every largest group of colours far from one another, as bits, that has all of `group` (Bron & Kerbosch 1973).

    `wider` are the colours that may be added, `seen` those whose groups were all found before.
    """
    if not wider and not seen:
        yield group
        return
    # Groups without this one have a colour that is near it.
    pivot = max(_bits(wider | seen), key=lambda at: (wider & far[at]).bit_count())
    for at in _bits(wider & ~far[pivot]):
        yield from _groups(far, group | 1 << at, wider & far[at], seen & far[at])
        wider &= ~(1 << at)
        seen |= 1 << at


def _bits(bits: int) -> list[int]:
    return [at for at in range(bits.bit_length()) if bits >> at & 1]


def assigned(costs: Costs) -> tuple[float, list[int]]:
    """The cheapest assignment of a different column to each row, and its sum; there are no fewer columns than rows.

    Rows join one by one. Each takes the shortest path of exchanges to a free column; prices of rows and columns keep
    all ways at or above zero (Kuhn 1955; Jonker & Volgenant 1987).
    """
    columns = range(len(costs[0]) if costs else 0)
    row_price, column_price = [0.0] * len(costs), [0.0] * len(columns)
    taken_by: list[int | None] = [None] * len(columns)
    for new in range(len(costs)):
        way, back = [inf] * len(columns), [-1] * len(columns)
        reached: list[int] = []
        row, last, so_far = new, -1, 0.0
        while True:
            for column in columns:
                if column not in reached:
                    longer = so_far + costs[row][column] - row_price[row] - column_price[column]
                    if longer < way[column]:
                        way[column], back[column] = longer, last
            last = min((column for column in columns if column not in reached), key=lambda column: way[column])
            reached.append(last)
            so_far = way[last]
            holder = taken_by[last]
            if holder is None:
                break
            row = holder
        row_price[new] += so_far
        for column in reached[:-1]:
            holder = taken_by[column]
            assert holder is not None
            row_price[holder] += so_far - way[column]
            column_price[column] -= so_far - way[column]
        while last != -1:
            before = back[last]
            taken_by[last] = new if before == -1 else taken_by[before]
            last = before
    found = {row: column for column, row in enumerate(taken_by) if row is not None}
    return sum(costs[row][found[row]] for row in found), [found[row] for row in range(len(costs))]
