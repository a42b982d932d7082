"""What a row adds to a band, and how wide a knot is, from lengths that were measured."""

import math
from collections.abc import Sequence
from typing import NamedTuple

from benchmate.craft.thread.learning.prior import LEAST, MISTAKE, MISTAKEN
from benchmate.craft.thread.learning.regression import least_squares
from benchmate.craft.thread.observations import Measured, Seen

UNSURE = 0.2
"""How far a maker's rows and knots differ from the shipped ones, relative; a standard deviation."""
FROM_DAY_TO_DAY = 0.04
"""How far they differ from piece to piece."""
RULER_MM = 1.0
"""How exactly a length can be read."""
_ROUNDS = 20


class Length(NamedTuple):
    """A length that was learned, and the range it lies in 19 times in 20, mm."""

    mm: float
    range_mm: tuple[float, float]


def learned_length(shipped: float, what: str, pieces: Sequence[Sequence[Seen]]) -> Length | None:
    """The length of one row or knot after all that was measured; None where nothing was.

    Measures of one piece are of one band, so they count as one, of all their units.
    """
    found: list[tuple[float, float]] = []
    for piece in pieces:
        own = [each for each in piece if isinstance(each, Measured) and each.what == what]
        if own:
            found.append((math.fsum(each.units for each in own) * shipped, math.fsum(each.mm for each in own)))
    if not found:
        return None
    found.sort()
    expected = [mm for mm, _ in found]
    ratios = [came / mm for mm, came in found]
    variances = [FROM_DAY_TO_DAY**2 + (RULER_MM / mm) ** 2 for mm in expected]
    share = sorted(ratios)[len(ratios) // 2] if len(ratios) > 2 else 1.0
    unsure = UNSURE
    for _ in range(_ROUNDS):
        trust = [_right(ratio, share, variance + unsure**2) for ratio, variance in zip(ratios, variances, strict=True)]
        weights = [each / variance for each, variance in zip(trust, variances, strict=True)]
        fit = least_squares([[1.0]] * len(ratios), ratios, weights=weights, prior=[1.0], prior_rows=[[1 / UNSURE]])
        share, unsure = max(LEAST, fit.coefficients[0]), math.sqrt(fit.covariance()[0][0])
    low, high = (max(LEAST, share + side * unsure) for side in (-1.96, 1.96))
    return Length(share * shipped, (low * shipped, high * shipped))


def _right(ratio: float, share: float, variance: float) -> float:
    """How likely a measure is to be entered right."""
    right = (1 - MISTAKEN) * math.exp(-((ratio - share) ** 2) / variance / 2) / math.sqrt(variance)
    off = math.log(ratio / share)
    wrong = MISTAKEN * math.exp(-((off / MISTAKE) ** 2) / 2) / (MISTAKE * ratio)
    return right / (right + wrong)
