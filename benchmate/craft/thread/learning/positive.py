"""Constants that stay above 0."""

from collections.abc import Sequence
from itertools import combinations

from benchmate.craft.thread.learning.small_matrices import cholesky, inverse_of, product


def nearest_positive(mean: Sequence[float], covariance: Sequence[Sequence[float]], least: float) -> list[float]:
    """The likeliest constants that are all at least `least`, for a normal distribution.

    Where one is held at `least`, the others move as they vary with it, so that sums stay near what was measured.
    """
    if min(mean) >= least:
        return list(mean)
    best: list[float] = []
    likeliest = float("inf")
    weigh = inverse_of(cholesky(covariance))
    places = range(len(mean))
    for size in range(1, len(mean) + 1):
        for held in combinations(places, size):
            found = _held(mean, covariance, held, least)
            if min(found) >= least * (1 - 1e-9):
                off = [own - middle for own, middle in zip(found, mean, strict=True)]
                unlikely = sum(map(float.__mul__, off, product(weigh, off)))
                if unlikely < likeliest:
                    best, likeliest = found, unlikely
    return best


def _held(
    mean: Sequence[float], covariance: Sequence[Sequence[float]], held: Sequence[int], least: float
) -> list[float]:
    """The mean of the rest when some are exactly `least`."""
    inner = inverse_of(cholesky([[covariance[row][column] for column in held] for row in held]))
    pull = product(inner, [least - mean[place] for place in held])
    found = [
        middle + sum(covariance[place][other] * part for other, part in zip(held, pull, strict=True))
        for place, middle in enumerate(mean)
    ]
    for place in held:
        found[place] = least
    return found
