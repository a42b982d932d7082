"""What is known of the constants after strings were measured: a mixture of normal distributions.

Given the noise of a string, the tension of the day and how far the common part may lie from 1, they are normal. Those
three are unknown: the mixture runs over a grid of them, each weighed by how well it explains what was measured.
"""

import math
from collections.abc import Sequence
from typing import NamedTuple

from benchmate.craft.thread.learning.measured_strings import Sums
from benchmate.craft.thread.learning.prior import COUNT, NOISE, TENSION, commons, precision_before
from benchmate.craft.thread.learning.small_matrices import cholesky, dot, inverse_of, log_determinant, product

_NEGLIGIBLE = 1e-3
_NOISE_STEPS = (-2, -1, 0, 1, 2)
_RATIO_STEPS = (-2, -1, 0, 1, 2, 3)
"""The grid, in standard deviations on both sides of the middle."""
_FINEST, _FINER = 0.02, 4
"""The smallest step, and how much finer a grid may be than the one before."""


class Scales(NamedTuple):
    """Where the grid is laid: the logarithms of the noise of a string, and of the tension in multiples of it."""

    noise: float
    noise_step: float
    ratio: float
    ratio_step: float

    def fits(self, after: "Scales") -> bool:
        """True when the grid after this one is nearly the same."""
        moved = abs(after.noise - self.noise) / self.noise_step, abs(after.ratio - self.ratio) / self.ratio_step
        finer = self.noise_step / after.noise_step, self.ratio_step / after.ratio_step
        return max(moved) < 0.5 and max(finer) < 2


WIDEST = Scales(math.log(NOISE[0]), NOISE[1], math.log(TENSION[0] / NOISE[0]), math.hypot(NOISE[1], TENSION[1]))
"""The grid before anything is known."""


class Part(NamedTuple):
    """One part of the mixture: its weight, the mean and the covariance of the relative constants, noise and tension."""

    weight: float
    mean: list[float]
    covariance: list[list[float]]
    noise: float
    tension: float


class Posterior(NamedTuple):
    """The mixture, the logarithm of the likelihood of what was measured, and what follows from the mixture."""

    parts: list[Part]
    log_likelihood: float

    @property
    def mean(self) -> list[float]:
        """The mean of the relative constants."""
        return [math.fsum(part.weight * part.mean[place] for part in self.parts) for place in range(COUNT)]

    @property
    def covariance(self) -> list[list[float]]:
        """The covariance of the relative constants."""
        mean = self.mean
        found = [[0.0] * COUNT for _ in range(COUNT)]
        for part in self.parts:
            off = [own - middle for own, middle in zip(part.mean, mean, strict=True)]
            for row, (line, own) in enumerate(zip(part.covariance, off, strict=True)):
                sums = found[row]
                for column in range(row + 1):
                    sums[column] += part.weight * (line[column] + own * off[column])
        return [[found[max(row, column)][min(row, column)] for column in range(COUNT)] for row in range(COUNT)]

    def scales_after(self, before: Scales) -> Scales:
        """Where to lay the grid after this came of another one."""
        noises = [(part.weight, math.log(part.noise)) for part in self.parts]
        ratios = [(part.weight, math.log(part.tension / part.noise)) for part in self.parts]
        return Scales(*_laid(noises, before.noise, before.noise_step), *_laid(ratios, before.ratio, before.ratio_step))

    @property
    def noise(self) -> float:
        """The standard deviation of the noise of a string."""
        return math.sqrt(math.fsum(part.weight * part.noise**2 for part in self.parts))

    @property
    def tension(self) -> float:
        """The standard deviation of the tension of the day."""
        return math.sqrt(math.fsum(part.weight * part.tension**2 for part in self.parts))


class _Candidate(NamedTuple):
    log_weight: float
    mean: list[float]
    lower: list[list[float]]
    noise: float
    tension: float


def posterior(sums: Sums, shares: Sequence[float], wide: float, scales: Scales = WIDEST) -> Posterior:
    """The mixture after what the sums around `shares` say; `wide` is how likely the thread is quite another one."""
    candidates: list[_Candidate] = []
    expected = [1 - share for share in shares]
    common_parts = []
    for common, likely in commons(wide):
        own = precision_before(common)
        pull = product(own, expected)
        common_parts.append((own, pull, dot(expected, pull), log_determinant(cholesky(own)) / 2 + math.log(likely)))
    noises = [math.exp(scales.noise + step * scales.noise_step) for step in _NOISE_STEPS]
    cell = math.log(scales.noise_step * scales.ratio_step)
    for step in _RATIO_STEPS:
        ratio = math.exp(scales.ratio + step * scales.ratio_step)
        seen = sums.under(ratio)
        for noise in noises:
            variance, tension = noise * noise, noise * ratio
            known = cell + _log_prior(noise, *NOISE) + _log_prior(tension, *TENSION)
            known -= sums.weight * math.log(2 * math.pi * variance) / 2 + seen.log_ratio / 2
            for own, pull, square, log_own in common_parts:
                lower = cholesky(
                    [
                        [mine + sight / variance for mine, sight in zip(line, row, strict=True)]
                        for line, row in zip(own, seen.precision, strict=True)
                    ]
                )
                gain = [mine + sight / variance for mine, sight in zip(pull, seen.gain, strict=True)]
                mean = _solved(lower, gain)
                misfit = square + seen.squares / variance - dot(gain, mean)
                log_weight = known + log_own - log_determinant(lower) / 2 - misfit / 2
                candidates.append(_Candidate(log_weight, mean, lower, noise, tension))
    return _mixed(candidates, shares)


def _mixed(candidates: list[_Candidate], shares: Sequence[float]) -> Posterior:
    best = max(candidate.log_weight for candidate in candidates)
    kept = [candidate for candidate in candidates if candidate.log_weight > best + math.log(_NEGLIGIBLE)]
    total = math.fsum(math.exp(candidate.log_weight - best) for candidate in kept)
    parts = [
        Part(
            math.exp(candidate.log_weight - best) / total,
            [share + off for share, off in zip(shares, candidate.mean, strict=True)],
            inverse_of(candidate.lower),
            candidate.noise,
            candidate.tension,
        )
        for candidate in kept
    ]
    return Posterior(parts, best + math.log(total))


def _log_prior(value: float, median: float, spread: float) -> float:
    return -((math.log(value / median) / spread) ** 2) / 2 - math.log(spread * math.sqrt(2 * math.pi))


def _laid(values: Sequence[tuple[float, float]], middle: float, step: float) -> tuple[float, float]:
    """The middle and the step of the next grid. It grows finer step by step, and not where it has to move."""
    mean = math.fsum(weight * value for weight, value in values)
    deviation = math.sqrt(math.fsum(weight * (value - mean) ** 2 for weight, value in values))
    return mean, step if abs(mean - middle) > step else max(_FINEST, step / _FINER, deviation)


def averaged(posteriors: Sequence[tuple[Posterior, float]]) -> Posterior:
    """The mixture of several explanations, each weighed by the logarithm of how well it explains what was measured."""
    best = max(log for _, log in posteriors)
    weights = [math.exp(log - best) for _, log in posteriors]
    total = math.fsum(weights)
    parts = [
        part._replace(weight=part.weight * weight / total)
        for (known, _), weight in zip(posteriors, weights, strict=True)
        if weight / total > _NEGLIGIBLE
        for part in known.parts
    ]
    whole = math.fsum(part.weight for part in parts)
    return Posterior([part._replace(weight=part.weight / whole) for part in parts], best + math.log(total))


def _solved(lower: Sequence[Sequence[float]], gain: Sequence[float]) -> list[float]:
    """The solution of LLᵀx = gain."""
    half: list[float] = []
    for place, line in enumerate(lower):
        half.append((gain[place] - sum(map(float.__mul__, line, half))) / line[place])
    found = [0.0] * len(half)
    for place in reversed(range(len(half))):
        rest = sum(lower[other][place] * found[other] for other in range(place + 1, len(half)))
        found[place] = (half[place] - rest) / lower[place][place]
    return found
