"""A gauge corrected by what its maker measured."""

import math
from collections.abc import Sequence
from operator import sub
from typing import Any, NamedTuple

from benchmate.craft.thread.counts import Counts
from benchmate.craft.thread.gauge import Gauge
from benchmate.craft.thread.learning.measured_lengths import Length, learned_length
from benchmate.craft.thread.learning.measured_strings import Strings
from benchmate.craft.thread.learning.positive import nearest_positive
from benchmate.craft.thread.learning.posterior import WIDEST, Posterior, Scales, averaged, posterior
from benchmate.craft.thread.learning.prior import COMMON, COUNT, FIELDS, LEAST, NOISE, TENSION, USUAL, covariance_before
from benchmate.craft.thread.learning.small_matrices import dot, product
from benchmate.craft.thread.observations import ALPHA_ROWS, BASE, ROWS, WIDE, Seen, Used

LASTS = 0.99
"""The point of what the next string may need that it is cut for.

A string has to last in 49 of 50 pieces. With the 98 % point, about half of all makers would miss that, and so would all
makers together once their first pieces count, which are cut before anything is known.
"""
_SURE = 0.95
_FAR = 1.8
_FIRST_PIECES = 24
_ROUNDS_OF_NEWTON, _EXACT = 100, 1e-7
_ROOT_2, _ROOT_2_PI = math.sqrt(2), math.sqrt(2 * math.pi)
_ROUNDS = 10
_SETTLED, _DOUBT = 0.01, 0.5


class LearnedGauge:
    """A gauge after what was measured, and how sure it is."""

    def __init__(
        self, gauge: Gauge, shipped: Gauge, known: Posterior | None, lengths: dict[str, Length], wide: float
    ) -> None:
        self.gauge = gauge
        self._wide = wide
        self._shipped = [getattr(shipped, field) for field in FIELDS]
        self._known = known
        self._lengths = lengths
        self._means = known.mean if known is not None else []

    def spare_mm(self, counts: Counts) -> float:
        """What keeps a string from running short in 49 of 50 pieces, beyond what it needs by the gauge, mm.

        It is a high point of what the next string may need: constants that are not sure, a new day's tension, and the
        noise of the string.
        """
        parts = [count * constant for count, constant in zip((*counts, 0), self._shipped, strict=True)]
        if self._known is None or not any(parts):
            return 0.0
        return max(0.0, self._beyond(parts, LASTS, need=True))

    @property
    def is_far_off(self) -> bool:
        """True when the thread seems to be quite another one than its name says, or the lengths not to be in mm."""
        share = self.gauge.made_mm / self._shipped[0]
        return self._wide <= USUAL and not 1 / _FAR <= share <= _FAR

    def range_mm(self, field: str) -> tuple[float, float] | None:
        """The range that a number of the gauge lies in, 19 times in 20; None for a number that is not learned."""
        if field in self._lengths:
            return self._lengths[field].range_mm
        if field not in FIELDS or self._known is None:
            return None
        parts = [constant * (field == each) for each, constant in zip(FIELDS, self._shipped, strict=True)]
        number, tail = getattr(self.gauge, field), (1 - _SURE) / 2
        least = LEAST * sum(parts)
        low, high = (number + self._beyond(parts, part, need=False) for part in (tail, 1 - tail))
        return max(least, low), max(least, high)

    def _beyond(self, parts: Sequence[float], share: float, *, need: bool) -> float:
        """The point that a need, or a sum of constants, stays under with this probability, less the mean."""
        assert self._known is not None
        size = dot(parts, self._means)
        normals: list[tuple[float, float, float]] = []
        for weight, mean, spread, noise, tension in self._known.parts:
            variance = dot(parts, product(spread, parts))
            if need:
                variance += size * size * (noise * noise + tension * tension)
            normals.append((weight, dot(parts, mean) - size, math.sqrt(variance)))
        return quantile(normals, share)


def quantile(normals: Sequence[tuple[float, float, float]], share: float) -> float:
    """The point that a mixture of normal distributions (weight, mean, deviation) stays under with this probability.

    Newton's way, within an interval that closes in on it.
    """
    wide = max(deviation for _, _, deviation in normals)
    low = min(mean for _, mean, _ in normals) - 9 * wide
    high = max(mean for _, mean, _ in normals) + 9 * wide
    middle = math.fsum(weight * mean for weight, mean, _ in normals)
    square = math.fsum(weight * (deviation**2 + (mean - middle) ** 2) for weight, mean, deviation in normals)
    point = middle + (2 if share > 0.5 else -2) * math.sqrt(square)
    for _ in range(_ROUNDS_OF_NEWTON):
        under = density = 0.0
        for weight, mean, deviation in normals:
            off = (point - mean) / (deviation * _ROOT_2)
            under += weight * (1 + math.erf(off)) / 2
            density += weight * math.exp(-off * off) / deviation
        low, high = (point, high) if under < share else (low, point)
        before, point = point, point - (under - share) / (density / _ROOT_2_PI) if density > 0 else low
        if not low < point < high:
            point = (low + high) / 2
        if abs(point - before) < _EXACT * wide:
            break
    return point


def learned(shipped: Gauge, pieces: Sequence[Sequence[Seen]], *, wide: float = USUAL) -> LearnedGauge:
    """The gauge after all that was measured, a sequence for each piece; the order does not matter.

    `wide` is how likely the thread is quite another one than its name says.
    """
    strings = Strings([_strings_of(shipped, piece) for piece in pieces])
    lengths = {
        field: found
        for field, what in (("row_mm", ROWS), ("wide_mm", WIDE))
        if (found := learned_length(getattr(shipped, field), what, pieces)) is not None
    }
    numbers: dict[str, Any] = {field: length.mm for field, length in lengths.items()}
    known = None
    if len(strings):
        known = known_from(strings, wide)
        means = nearest_positive(known.mean, known.covariance, LEAST)
        numbers |= {field: getattr(shipped, field) * share for field, share in zip(FIELDS, means, strict=True)}
    seen = sum(isinstance(each, Used) or each.what == BASE for piece in pieces for each in piece)
    gauge = shipped._replace(seen=seen, **{field: round(number, 3) for field, number in numbers.items()})
    return LearnedGauge(gauge, shipped, known, lengths, wide)


def known_from(strings: Strings, wide: float) -> Posterior:
    """What is known of the constants after the strings, those set aside that are likely to be mistaken.

    Whether most entries are mistaken or the thread is another one than expected may stay open: then both explanations
    count, each as well as it explains the strings. With many strings, some of them are enough to begin with.
    """
    few = strings.some(_FIRST_PIECES)
    begun: list[_Explained] = []
    tried: list[list[bool]] = []
    for share in (_middle(few.ratios()), 1.0):
        shares, alone = [share] * COUNT, [0.0] * len(few)
        weights = few.around(shares).trusted(alone, NOISE[0], TENSION[0], covariance_before(COMMON))
        if _believed(weights) in tried:
            continue
        found = _settled(few, shares, weights, wide)
        tried += [_believed(weights), _believed(found.weights)]
        if all(max(map(abs, map(sub, found.shares, other.shares))) > _SETTLED for other in begun):
            begun.append(found)
    if len(few) == len(strings):
        return averaged([(each.known, each.bound) for each in begun])
    best = max(begun, key=lambda each: each.bound)
    return _with_all(strings, best, wide)


def _with_all(strings: Strings, begun: "_Explained", wide: float) -> Posterior:
    """The posterior after all strings, each judged once, by an explanation of some of them."""
    known, scales = begun.known, begun.scales
    around = strings.around(begun.shares)
    weights = around.trusted([1.0] * len(strings), known.noise, known.tension, known.covariance)
    sums = around.sums(weights)
    for _ in range(_ROUNDS):
        known = posterior(sums, begun.shares, wide, scales)
        laid, scales = scales, known.scales_after(scales)
        if laid.fits(scales):
            break
    return known


def _believed(weights: Sequence[float]) -> list[bool]:
    return [weight > _DOUBT for weight in weights]


class _Explained(NamedTuple):
    """An explanation of what was measured; `bound` is the logarithm of how well it explains it, or a little less."""

    known: Posterior
    shares: list[float]
    weights: list[float]
    scales: Scales
    bound: float


def _settled(strings: Strings, shares: list[float], weights: list[float], wide: float) -> "_Explained":
    """The posterior and the weights of the strings, each from the other until they settle; and how well it explains."""
    around, scales = strings.around(shares), WIDEST
    for _ in range(_ROUNDS):
        known = posterior(around.sums(weights), shares, wide, scales)
        covariance = known.covariance
        shares, laid = nearest_positive(known.mean, covariance, LEAST), scales
        scales = known.scales_after(laid)
        around, before = strings.around(shares), weights
        weights = around.trusted(weights, known.noise, known.tension, covariance)
        if laid.fits(scales) and max(map(abs, map(sub, weights, before))) < _SETTLED:
            break
    return _Explained(known, shares, weights, scales, known.log_likelihood + around.doubted(weights))


def _middle(values: Sequence[float]) -> float:
    return sorted(values)[len(values) // 2]


def _strings_of(shipped: Gauge, piece: Sequence[Seen]) -> list[tuple[tuple[float, ...], float]]:
    """What the shipped constants make of each string, part by part, and what it used; nothing of other lengths."""
    found: list[tuple[tuple[float, ...], float]] = []
    a_made, a_carried, a_stayed, a_waited, a_base = (getattr(shipped, field) for field in FIELDS)
    for each in piece:
        if isinstance(each, Used):
            made, carried, stayed, waited = each.counts
            found.append(((made * a_made, carried * a_carried, stayed * a_stayed, waited * a_waited, 0.0), each.mm))
        elif each.what in (BASE, ALPHA_ROWS):
            found.append(((0.0, 0.0, 0.0, 0.0, each.units * a_base), each.mm))
    return [(parts, mm) for parts, mm in found if any(parts)]
