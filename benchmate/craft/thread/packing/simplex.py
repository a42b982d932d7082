"""A linear program whose columns come one after the other: the revised simplex method with sets.

Every column belongs to a set, of which there are so many; one column of each set, its key, stands for the others in
the basis, so that the basis has a row for each size and none for the sources. Its numbers are floats. Nothing is
proven by them: they only propose duals, whose bound is then worked out in whole numbers.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from operator import itemgetter

TINY = 1e-9
WRONG = 1e-7
"""An amount that is so much below 0, or above it where there may be none, is put right."""
NEAR = 1e-4
"""So far the floats may differ."""
FEW = 30
"""So many columns are looked at again before all are."""

Take = Callable[[Sequence[float]], tuple[float, ...]]


class Table:
    """The columns of a program: what each costs, the rows it stands in, each so often as it counts, and its set."""

    def __init__(self, rows: int, sets: int, penalty: float) -> None:
        self.rows, self.sets = rows, sets
        self.costs: list[float] = []
        self.rows_of: list[tuple[int, ...]] = []
        self.takes: list[Take] = []
        self.set_of: list[int] = []
        # First what is missing in a row, in a set of its own, and for every set what is not taken of it.
        for row in range(rows):
            self.add(penalty, (row,), sets)
        for each in range(sets + 1):
            self.add(0.0, (), each)

    def add(self, cost: float, rows: Sequence[int], own: int) -> int:
        """Adds a column; returns its number."""
        self.costs.append(cost)
        self.rows_of.append(tuple(rows))
        # What comes after the last row is always 0.
        self.takes.append(itemgetter(*rows, self.rows, self.rows))
        self.set_of.append(own)
        return len(self.costs) - 1

    def spare(self, own: int) -> int:
        """The column of what is not taken of a set."""
        return self.rows + own


class Program:
    """A program at a basis: `right` for each row, `limits` for each set. Minimises the cost of the columns.

    It begins with the `keys` of the sets and what is missing then: without them, nothing is taken. Only what is
    `alive` is ever taken more of.
    """

    def __init__(
        self, table: Table, right: Sequence[float], limits: Sequence[float], keys: Sequence[int] | None = None
    ) -> None:
        rows = table.rows
        self.table = table
        self.basis = [*range(rows)]
        self.values = [float(each) for each in right]
        self.keys = [table.spare(each) for each in range(table.sets + 1)]
        self.rests = [*map(float, limits), 1e9]
        self.alive = [*range(len(table.costs))]
        for own, key in enumerate(keys or ()):
            self.keys[own] = key
            for row in table.rows_of[key]:
                self.values[row] -= self.rests[own]
        self._inverse = [[float(row == column) for column in range(rows + 1)] for row in range(rows)]
        self.duals = [table.costs[row] for row in range(rows)] + [0.0]
        self.charges: list[float] = []
        self._charge()
        self.work = 0
        # What it costs at least, as far as the dual method has come.
        self.bound = 0.0
        self._few: list[int] = []

    def copied(self) -> "Program":
        """Another program at the same basis. Lines of the inverse are never changed in place."""
        other = Program.__new__(Program)
        other.table = self.table
        other.basis, other.values = self.basis[:], self.values[:]
        other.keys, other.rests = self.keys[:], self.rests[:]
        other._inverse, other.duals, other.charges = self._inverse[:], self.duals, self.charges
        other.alive = self.alive
        other.work, other.bound, other._few = 0, self.bound, []
        return other

    @property
    def cost(self) -> float:
        """What is taken costs so much."""
        costs = self.table.costs
        cost: float = sum([costs[at] * value for at, value in zip(self.basis, self.values, strict=True)])
        return cost + sum([costs[at] * value for at, value in zip(self.keys[:-1], self.rests, strict=False)])

    def worth(self, right: Sequence[float], limits: Sequence[float]) -> float:
        """What the duals make of these in place of the right side and the limits."""
        worth = sum([dual * many for dual, many in zip(self.duals[:-1], right, strict=True)])
        return worth + sum([charge * many for charge, many in zip(self.charges[:-1], limits, strict=True)])

    def is_off(self, right: Sequence[float], limits: Sequence[float]) -> bool:
        """True when the floats no longer agree, and the program must begin again."""
        return abs(self.worth(right, limits) - self.bound) > NEAR * max(1.0, abs(self.bound))

    def amounts(self) -> dict[int, float]:
        """How much of each column is taken, where it is any."""
        taken = {at: value for at, value in zip(self.keys[:-1], self.rests, strict=False) if value > WRONG}
        taken.update((at, value) for at, value in zip(self.basis, self.values, strict=True) if value > WRONG)
        return taken

    def without(self, column: int) -> None:
        """Takes a column once from the right side and from the limit of its set."""
        self._pay(self._direction(column), 1.0)
        self.rests[self.table.set_of[column]] -= 1.0

    def reduced(self, number: int) -> float:
        """How much dearer than its worth a column is."""
        table = self.table
        return table.costs[number] - sum(table.takes[number](self.duals)) - self.charges[table.set_of[number]]

    def solve(self, most: int) -> int:
        """Changes the basis until no column makes it cheaper, at most so often; returns how often."""
        for turn in range(most):
            entering = self._entering()
            if entering is None or not self._enter(entering):
                return turn
        return most

    def mend(self, most: int, room: float) -> bool:
        """The dual method: until no amount is below 0 and nothing is taken but what is `alive`, or it costs so much.

        False where it cannot be.
        """
        table, alive = self.table, self.alive
        living = bytearray(len(table.costs))
        for at in alive:
            living[at] = 1
        takes, set_of = table.takes, table.set_of
        columns = [(takes[at], set_of[at]) for at in alive]
        reduced = [self.reduced(at) for at in alive]
        self.bound = self.cost
        for _ in range(most):
            if self.bound > room:
                break
            out, in_set, worst = self._wrong(living)
            if out < 0 and in_set < 0:
                break
            if in_set >= 0:
                out = self._of_set(in_set)
                if out < 0:
                    step = self._another_key(in_set, reduced)
                    if step is None:
                        self.bound = room + 2.0
                        return False
                    self.bound += step * worst
                    self.work += self.table.rows * 8 + len(alive)
                    continue
                self._swap(in_set, out)
            line = self._inverse[out]
            sign = -1.0 if self.values[out] < 0 else 1.0
            minus = [sum(takes[key](line)) for key in self.keys]
            alphas = [sum(take(line)) - minus[own] for take, own in columns]
            if sign < 0:
                alphas = [-alpha for alpha in alphas]
            able = [each for each in zip(alphas, reduced, alive, strict=True) if each[0] > WRONG]
            self.work += table.rows * table.rows + 4 * len(alive)
            if not able:
                self._raise(line, sign * (room - self.bound + 2.0) / worst)
                self.bound = room + 2.0
                return False
            # Of those that are about equally cheap the one whose number is largest: divided by it, floats stay exact.
            limit = min([(each[1] + WRONG) / each[0] for each in able])
            largest, dearer, entering = max([each for each in able if each[1] <= limit * each[0]])
            least = max(dearer / largest, 0.0)
            self.bound += least * worst
            direction = self._direction(entering)
            self._change(entering, direction, out, self.values[out] / direction[out], least * largest)
            if least:
                reduced = [each - least * alpha for each, alpha in zip(reduced, alphas, strict=True)]
        return True

    def _wrong(self, living: bytearray) -> tuple[int, int, float]:
        """The place in the basis, or the set, whose amount is furthest from what it may be, and how far."""
        out, in_set, worst = -1, -1, WRONG
        for place, value in enumerate(self.values):
            wrong = -value if value < 0 else 0.0 if living[self.basis[place]] else value
            if wrong > worst:
                out, worst = place, wrong
        for own in range(self.table.sets):
            value = self.rests[own]
            wrong = -value if value < 0 else 0.0 if living[self.keys[own]] else value
            if wrong > worst:
                in_set, worst = own, wrong
        return (-1, in_set, worst) if in_set >= 0 else (out, -1, worst)

    def _another_key(self, own: int, reduced: list[float]) -> float | None:
        """Another column for the one a set takes alone; how much dearer it is, None where there is none."""
        set_of, alive = self.table.set_of, self.alive
        able = [(each, at) for each, at in zip(reduced, alive, strict=True) if set_of[at] == own]
        if not able:
            return None
        step, entering = min(able)
        direction, many = self._direction(entering), self.rests[own]
        self._pay(direction, many)
        self.keys[own] = entering
        self.rests[own] = many
        self.charges = self.charges[:]
        self.charges[own] += step
        for place, at in enumerate(alive):
            if set_of[at] == own:
                reduced[place] -= step
        return step

    def _raise(self, line: Sequence[float], by: float) -> None:
        """The duals of a program that cannot be solved: with ever more of this line the bound grows without end."""
        self.duals = [dual + by * each for dual, each in zip(self.duals, line, strict=True)]
        self._charge()

    def _entering(self) -> int | None:
        """A column that makes it cheaper: the best of a few that were the best before, until none of them does."""
        best = min(self._cheaper(self._few), default=None)
        if best is None:
            found = sorted(self._cheaper(self.alive))[:FEW]
            self._few = [number for _, number in found]
            self.work += 4 * len(self.alive)
            best = found[0] if found else None
        return None if best is None else best[1]

    def _cheaper(self, numbers: Iterable[int]) -> Iterator[tuple[float, int]]:
        """By how much each of these columns makes it cheaper, where it does."""
        table, duals, charges = self.table, self.duals, self.charges
        costs, takes, set_of = table.costs, table.takes, table.set_of
        for number in numbers:
            cost = costs[number] - sum(takes[number](duals)) - charges[set_of[number]]
            if cost < -WRONG:
                yield cost, number

    def _enter(self, entering: int) -> bool:
        """Takes as much of a column as can be; false where that is without end."""
        own = self.table.set_of[entering]
        direction = self._direction(entering)
        less = {own: 1.0}
        set_of, basis = self.table.set_of, self.basis
        for place, step in enumerate(direction):
            if step > TINY or step < -TINY:
                each = set_of[basis[place]]
                less[each] = less.get(each, 0.0) - step
        out, in_set, least, largest = -1, -1, 0.0, 0.0
        for place, step in enumerate(direction):
            if step > TINY:
                ratio = self.values[place] / step
                if largest == 0.0 or ratio < least - 1e-12 or (ratio <= least and step > largest):
                    out, least, largest = place, ratio, step
        for each, step in less.items():
            if step > TINY:
                ratio = self.rests[each] / step
                if largest == 0.0 or ratio < least - 1e-12 or (ratio <= least and step > largest):
                    out, in_set, least, largest = -1, each, ratio, step
        if largest == 0.0:
            return False
        cheaper = self.reduced(entering)
        if in_set >= 0:
            out = self._of_set(in_set)
            if out >= 0:
                self._swap(in_set, out)
                direction[out] = less[in_set]
            else:
                # Nothing else of its set is taken in part: it takes the place of the key, and the lines stay.
                self._pay(direction, max(least, 0.0))
                self.rests[in_set] = max(least, 0.0)
                self.keys[in_set] = entering
                self._charge()
                self.work += self.table.rows * 8
                return True
        self._change(entering, direction, out, max(least, 0.0), cheaper)
        self.work += self.table.rows * self.table.rows
        return True

    def _direction(self, entering: int) -> list[float]:
        """What one of this column takes of what is in the basis."""
        table = self.table
        take, key = table.takes[entering], self.keys[table.set_of[entering]]
        if not table.rows_of[key]:
            return [sum(take(line)) for line in self._inverse]
        minus = table.takes[key]
        return [sum(take(line)) - sum(minus(line)) for line in self._inverse]

    def _of_set(self, own: int) -> int:
        """A place in the basis that a column of this set has; -1 where none has."""
        set_of = self.table.set_of
        return next((place for place, at in enumerate(self.basis) if set_of[at] == own), -1)

    def _swap(self, own: int, place: int) -> None:
        """The key of a set and one of its columns in the basis change places."""
        set_of = self.table.set_of
        lines = [line for line, at in zip(self._inverse, self.basis, strict=True) if set_of[at] == own]
        self._inverse[place] = [-sum(each) for each in zip(*lines, strict=True)]
        self.basis[place], self.keys[own] = self.keys[own], self.basis[place]
        self.values[place], self.rests[own] = self.rests[own], self.values[place]

    def _pay(self, direction: Sequence[float], many: float) -> None:
        """What is in the basis makes room for so many of a column; its own set has yet to."""
        set_of, basis, rests = self.table.set_of, self.basis, self.rests
        for place, step in enumerate(direction):
            if step:
                self.values[place] -= many * step
                rests[set_of[basis[place]]] += many * step

    def _change(self, entering: int, direction: list[float], out: int, many: float, cheaper: float) -> None:
        """So many of a column come into the basis for what is at this place."""
        self._pay(direction, many)
        self.rests[self.table.set_of[entering]] -= many
        pivot = direction[out]
        inverse = self._inverse
        new = [each / pivot for each in inverse[out]]
        for place, step in enumerate(direction):
            if place != out and (step > TINY or step < -TINY):
                inverse[place] = [a - step * b for a, b in zip(inverse[place], new, strict=True)]
        # What leaves is at 0 now, and no longer counts for its set.
        inverse[out] = new
        self.basis[out] = entering
        self.values[out] = many
        self.duals = [dual + cheaper * each for dual, each in zip(self.duals, new, strict=True)]
        self._charge()

    def _charge(self) -> None:
        """What each set is charged, after its key."""
        costs, takes, duals = self.table.costs, self.table.takes, self.duals
        self.charges = [costs[key] - sum(takes[key](duals)) for key in self.keys]
