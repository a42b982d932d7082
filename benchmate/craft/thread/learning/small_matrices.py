"""Arithmetic with the few rows and columns that the constants of a gauge need."""

import math
from collections.abc import Sequence
from operator import mul


def cholesky(matrix: Sequence[Sequence[float]]) -> list[list[float]]:
    """The lower triangle L of a positive definite matrix LLᵀ."""
    lower: list[list[float]] = []
    for place, row in enumerate(matrix):
        line: list[float] = []
        for column in range(place):
            above = lower[column]
            line.append((row[column] - sum(map(mul, line, above))) / above[column])
        line.append(math.sqrt(row[place] - sum(cell * cell for cell in line)))
        lower.append(line)
    return lower


def inverse_of(lower: Sequence[Sequence[float]]) -> list[list[float]]:
    """The inverse of LLᵀ."""
    count = len(lower)
    turned: list[list[float]] = []
    for place in range(count):
        column = [0.0] * count
        for row in range(place, count):
            rest = float(row == place) - sum(lower[row][other] * column[other] for other in range(place, row))
            column[row] = rest / lower[row][row]
        turned.append(column)
    return [[sum(map(mul, turned[row], turned[column])) for column in range(count)] for row in range(count)]


def log_determinant(lower: Sequence[Sequence[float]]) -> float:
    """The logarithm of the determinant of LLᵀ."""
    return 2 * sum(math.log(line[place]) for place, line in enumerate(lower))


def product(matrix: Sequence[Sequence[float]], vector: Sequence[float]) -> list[float]:
    """A matrix times a vector."""
    return [sum(map(mul, row, vector)) for row in matrix]


def dot(one: Sequence[float], other: Sequence[float]) -> float:
    """The sum of the products."""
    return float(sum(map(mul, one, other)))
