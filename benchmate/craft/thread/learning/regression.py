"""Linear least squares, with a prior where there is one, by a stable method (QR with Householder reflections)."""

import math
from collections.abc import Sequence
from typing import NamedTuple


class Fit(NamedTuple):
    """A fit: its coefficients, the upper triangle of the QR decomposition, and the sum of the squared residuals.

    Rows of the prior count among the residuals. The inverse of `triangle`ᵀ`triangle`, times the variance of a row, is
    the covariance of the coefficients.
    """

    coefficients: tuple[float, ...]
    triangle: tuple[tuple[float, ...], ...]
    squares: float

    def covariance(self) -> list[list[float]]:
        """The covariance of the coefficients for rows of variance 1."""
        return covariance_of(self.triangle)


class NotDetermined(ValueError):
    """The rows do not determine every coefficient."""


def least_squares(
    rows: Sequence[Sequence[float]],
    values: Sequence[float],
    *,
    weights: Sequence[float] | None = None,
    prior: Sequence[float] | None = None,
    prior_rows: Sequence[Sequence[float]] = (),
) -> Fit:
    """The coefficients whose products with `rows` come nearest to `values`, each square counted with its weight.

    `prior_rows` pull towards the coefficients in `prior`: each is one more row, of weight 1, whose value is what they
    make of it. They are a square root of the prior's precision. Raises NotDetermined.
    """
    roots = [1.0] * len(rows) if weights is None else [math.sqrt(weight) for weight in weights]
    table = [
        [*(root * cell for cell in row), root * value] for row, value, root in zip(rows, values, roots, strict=True)
    ]
    if prior is not None:
        table += [[*row, math.fsum(map(float.__mul__, map(float, row), map(float, prior)))] for row in prior_rows]
    return solve(table)


def solve(table: Sequence[Sequence[float]]) -> Fit:
    """The fit to rows that each end with their value. Raises NotDetermined."""
    if not table or len(table) < len(table[0]) - 1:
        raise NotDetermined
    count = len(table[0]) - 1
    columns = [[float(row[place]) for row in table] for place in range(count + 1)]
    triangle = [[0.0] * count for _ in range(count)]
    for step in range(count):
        column = columns[step]
        size = math.sqrt(math.fsum(cell * cell for cell in column[step:]))
        whole = math.sqrt(math.fsum(cell * cell for cell in column))
        if size <= 1e-12 * whole or size == 0.0:
            raise NotDetermined
        head = -math.copysign(size, column[step])
        mirror = column[step:]
        mirror[0] -= head
        half = math.fsum(cell * cell for cell in mirror) / 2
        for other in columns[step:]:
            turned = math.fsum(map(float.__mul__, mirror, other[step:])) / half
            other[step:] = [cell - turned * side for cell, side in zip(other[step:], mirror, strict=True)]
        for place in range(step, count):
            triangle[step][place] = columns[place][step]
    target = columns[count]
    found = [0.0] * count
    for step in reversed(range(count)):
        rest = math.fsum(triangle[step][place] * found[place] for place in range(step + 1, count))
        found[step] = (target[step] - rest) / triangle[step][step]
    squares = math.fsum(cell * cell for cell in target[count:])
    return Fit(tuple(found), tuple(map(tuple, triangle)), squares)


def covariance_of(triangle: Sequence[Sequence[float]]) -> list[list[float]]:
    """The inverse of RᵀR for an upper triangle R."""
    count = len(triangle)
    inverse = [[0.0] * count for _ in range(count)]
    for column in range(count):
        for step in reversed(range(column + 1)):
            rest = float(step == column)
            rest -= math.fsum(triangle[step][place] * inverse[place][column] for place in range(step + 1, column + 1))
            inverse[step][column] = rest / triangle[step][step]
    return [
        [math.fsum(map(float.__mul__, inverse[row], inverse[column])) for column in range(count)]
        for row in range(count)
    ]
