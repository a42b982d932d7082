"""The strings that a maker measured, and the sums over them from which the constants are learned.

The model: a string used m · (1 + t + e), where m is the sum of its counts times the constants, t the tension of the
day, shared by all strings of a piece, and e its own noise; or its entry is mistaken and says little. The sums are taken
around a guess at the constants, so that nothing is lost in rounding, and shares are relative to the shipped ones.
"""

import math
from collections.abc import Sequence
from itertools import accumulate, pairwise
from operator import add, mul, sub, truediv
from typing import NamedTuple

from benchmate.craft.thread.learning.prior import COUNT, MISTAKE, MISTAKEN
from benchmate.craft.thread.learning.small_matrices import dot, product

_FEW = 400
"""With more strings than this, what is unsure about the constants does not matter for judging one string."""


class TensionSums(NamedTuple):
    """The sums in the precision and the mean of the constants, for one ratio of tension to noise.

    All are to be divided by the variance of the noise. `log_ratio` is the sum of log(1 + ratio² · weight of a piece).
    """

    precision: list[list[float]]
    gain: list[float]
    squares: float
    log_ratio: float


class Sums:
    """The sums over all strings, and those over each piece."""

    def __init__(self, columns: Sequence[list[float]], rest: list[float], weights: list[float], ends: list[int]):
        weighted = [list(map(mul, weights, column)) if any(column) else [] for column in columns]
        self._precision = [[0.0] * COUNT for _ in range(COUNT)]
        for row in range(COUNT):
            for column in range(row + 1):
                if weighted[row] and weighted[column]:
                    found = sum(map(mul, weighted[row], columns[column]))
                    self._precision[row][column] = self._precision[column][row] = found
        weighted_rest = list(map(mul, weights, rest))
        self._gain = [sum(map(mul, column, rest)) for column in weighted]
        self._squares = sum(map(mul, weighted_rest, rest))
        self.weight = sum(weights)
        self._piece_weight = _by_piece(weights, ends)
        self._piece_rest = _by_piece(weighted_rest, ends)
        self._pieces = [_by_piece(column, ends) if column else [] for column in weighted]

    def under(self, ratio: float) -> TensionSums:
        """The sums when the tension of the day varies `ratio` times as much as the noise of a string."""
        square = ratio * ratio
        shrunk = [square / (1 + square * weight) for weight in self._piece_weight]
        taken = [list(map(mul, shrunk, column)) for column in self._pieces]
        precision = [[0.0] * COUNT for _ in range(COUNT)]
        for row in range(COUNT):
            for column in range(row + 1):
                cell = self._precision[row][column] - sum(map(mul, taken[row], self._pieces[column]))
                precision[row][column] = precision[column][row] = cell
        gain = [cell - sum(map(mul, column, self._piece_rest)) for cell, column in zip(self._gain, taken, strict=True)]
        squares = self._squares - sum(map(mul, map(mul, shrunk, self._piece_rest), self._piece_rest))
        log_ratio = sum(math.log1p(square * weight) for weight in self._piece_weight)
        return TensionSums(precision, gain, squares, log_ratio)


class Strings:
    """The strings of all pieces: what each should take by the shipped constants, part by part, and what it used, mm."""

    def __init__(self, pieces: Sequence[Sequence[tuple[tuple[float, ...], float]]]) -> None:
        # In an order of their own, so that sums come out the same in whatever order the pieces were entered.
        self._sorted = sorted(sorted(piece) for piece in pieces if piece)
        every = [string for piece in self._sorted for string in piece]
        self._parts = [[parts[place] for parts, _ in every] for place in range(COUNT)]
        self._used = [used for _, used in every]
        self._ends = [0, *accumulate(map(len, self._sorted))]

    def __len__(self) -> int:
        return len(self._used)

    def some(self, most: int) -> "Strings":
        """About `most` of the pieces, taken from everywhere among them."""
        step = max(1, len(self._sorted) // most)
        return Strings(self._sorted[::step])

    def ratios(self) -> list[float]:
        """What each string used, as a share of what it should take by the shipped constants."""
        return list(map(truediv, self._used, map(sum, zip(*self._parts, strict=True))))

    def around(self, shares: Sequence[float]) -> "Around":
        """The strings as seen from a guess at the constants."""
        need = [0.0] * len(self)
        for share, part in zip(shares, self._parts, strict=True):
            if any(part):
                need = list(map(add, need, [share * cell for cell in part]))
        columns = [list(map(truediv, part, need)) if any(part) else [0.0] * len(part) for part in self._parts]
        rest = [ratio - 1 for ratio in map(truediv, self._used, need)]
        return Around(columns, rest, need, self._ends)


class Around:
    """The strings as seen from a guess at the constants: all as shares of what each string needs by that guess."""

    def __init__(self, columns: list[list[float]], rest: list[float], need: list[float], ends: list[int]) -> None:
        self._columns, self._rest, self._need, self._ends = columns, rest, need, ends

    def sums(self, weights: list[float]) -> Sums:
        """The sums, with a weight for each string."""
        return Sums(self._columns, self._rest, weights, self._ends)

    def trusted(
        self, weights: list[float], noise: float, tension: float, covariance: Sequence[Sequence[float]]
    ) -> list[float]:
        """How likely each string is to be entered right, judged by the tension that the others of its piece show."""
        rest = self._rest
        unsure = [0.0] * len(rest)
        if len(rest) <= _FEW:
            unsure = [dot(row, product(covariance, row)) for row in zip(*self._columns, strict=True)]
        square, own = (tension / noise) ** 2, noise * noise
        found: list[float] = []
        for begin, end in pairwise(self._ends):
            heavy = weights[begin:end]
            total = sum(heavy)
            pull = sum(map(mul, heavy, rest[begin:end]))
            for place in range(begin, end):
                others = 1 + square * (total - weights[place])
                off = rest[place] - square * (pull - weights[place] * rest[place]) / others
                found.append(_right(off, own * (1 + square / others) + unsure[place], 1 + rest[place]))
        return found

    def doubted(self, weights: list[float]) -> float:
        """What weights below 1 add to the bound on the logarithm of the likelihood, beside that of weighed strings."""
        doubts = math.fsum(_doubt(weight, 1 + excess) for weight, excess in zip(weights, self._rest, strict=True))
        return doubts - math.fsum(map(math.log, self._need))


def _right(off: float, variance: float, ratio: float) -> float:
    """How likely an entry is right that is `off` from what is expected, and `ratio` times what is needed."""
    right = (1 - MISTAKEN) * math.exp(-min(off * off / variance / 2, 600.0)) / math.sqrt(variance)
    wrong = MISTAKEN * math.exp(-((math.log(ratio) / MISTAKE) ** 2) / 2) / (MISTAKE * ratio)
    return right / (right + wrong)


def _doubt(weight: float, ratio: float) -> float:
    """What an entry with this weight adds to the bound on the logarithm of the likelihood, beside its right part."""
    wrong = -((math.log(ratio) / MISTAKE) ** 2) / 2 - math.log(MISTAKE * ratio) - math.log(2 * math.pi) / 2
    found = weight * math.log(1 - MISTAKEN)
    if weight < 1:
        found += (1 - weight) * (math.log(MISTAKEN) + wrong) - (1 - weight) * math.log(1 - weight)
    if weight > 0:
        found -= weight * math.log(weight)
    return found


def _by_piece(values: list[float], ends: list[int]) -> list[float]:
    totals = [0.0, *accumulate(values)]
    return list(map(sub, [totals[end] for end in ends[1:]], [totals[begin] for begin in ends[:-1]]))
