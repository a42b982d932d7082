"""A small linear program whose columns come one after the other: the revised simplex method.

Its numbers are floats. Nothing is proven by them: they only propose duals, whose bound is then worked out in whole
numbers.
"""

from collections.abc import Iterable, Iterator, Sequence

TINY = 1e-9
FEW = 30
"""So many columns are looked at again before all are."""

Entries = Sequence[tuple[int, float]]
"""A column: the rows in which it stands, each with its number."""


class Simplex:
    """Minimises the cost of columns such that every row comes to its right side; what is missing costs `penalty`."""

    def __init__(self, right: Sequence[float], penalty: float) -> None:
        rows = len(right)
        self.rows = rows
        self.costs: list[float] = []
        self.columns: list[Entries] = []
        self.values = [float(each) for each in right]
        self.basis = [-1 - row for row in range(rows)]
        self._inverse = [[float(row == column) for column in range(rows)] for row in range(rows)]
        self._penalty = penalty
        self.duals = [penalty] * rows
        self.work = 0
        self._few: list[int] = []

    def add(self, cost: float, entries: Entries) -> int:
        """Adds a column; returns its number."""
        self.costs.append(cost)
        self.columns.append(entries)
        return len(self.columns) - 1

    def solve(self, most: int) -> int:
        """Changes the basis until no column makes it cheaper, at most so often; returns how often."""
        for turn in range(most):
            entering = self._entering()
            if entering is None:
                return turn
            if not self._pivot(entering):
                return turn
        return most

    def amounts(self) -> dict[int, float]:
        """How much of each column is taken, where it is any."""
        return {
            column: value for column, value in zip(self.basis, self.values, strict=True) if column >= 0 and value > 1e-7
        }

    def _entering(self) -> int | None:
        """A column that makes it cheaper: the best of a few that were the best before, until none of them does."""
        best = self._best_of(self._few)
        if best is None:
            found = sorted(self._reduced(range(len(self.columns))))[:FEW]
            self._few = [number for _, number in found]
            self.work += 4 * len(self.columns)
            best = found[0][1] if found else None
        return best

    def _best_of(self, numbers: Iterable[int]) -> int | None:
        found = min(self._reduced(numbers), default=None)
        return None if found is None else found[1]

    def _reduced(self, numbers: Iterable[int]) -> Iterator[tuple[float, int]]:
        """By how much each of these columns makes it cheaper, where it does."""
        duals = self.duals
        for number in numbers:
            cost = self.costs[number]
            for row, many in self.columns[number]:
                cost -= duals[row] * many
            if cost < -1e-7:
                yield cost, number

    def _pivot(self, entering: int) -> bool:
        entries = self.columns[entering]
        direction = [0.0] * self.rows
        for at, line in enumerate(self._inverse):
            direction[at] = sum(line[row] * many for row, many in entries)
        out, least = -1, 0.0
        for at, step in enumerate(direction):
            if step > TINY:
                ratio = self.values[at] / step
                if out < 0 or ratio < least - 1e-12 or (ratio <= least and step > direction[out]):
                    out, least = at, ratio
        if out < 0:
            return False
        least = max(least, 0.0)
        pivot = direction[out]
        line = [each / pivot for each in self._inverse[out]]
        for at, step in enumerate(direction):
            if at != out and (step > TINY or step < -TINY):
                self._inverse[at] = [a - step * b for a, b in zip(self._inverse[at], line, strict=True)]
                self.values[at] -= step * least
        self._inverse[out] = line
        self.values[out] = least
        reduced = self.costs[entering] - sum(self.duals[row] * many for row, many in entries)
        self.duals = [dual + reduced * each for dual, each in zip(self.duals, line, strict=True)]
        self.basis[out] = entering
        self.work += self.rows * self.rows
        return True
