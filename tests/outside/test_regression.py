"""Least squares, against certified values and numpy; what follows from measured strings, against numpy and chance.

Certified values and data: NIST Statistical Reference Datasets (StRD), linear regression: Norris, Longley, NoInt1 and
NoInt2.
"""

import math
from random import Random

import numpy as np
import pytest

from benchmate.craft.thread.counts import Counts
from benchmate.craft.thread.gauge import FLOSS
from benchmate.craft.thread.learning.learned import LASTS, learned, quantile
from benchmate.craft.thread.learning.measured_strings import Strings
from benchmate.craft.thread.learning.posterior import WIDEST, posterior
from benchmate.craft.thread.learning.prior import COMMON, COUNT, FIELDS, NOISE, OWN, TENSION, covariance_before
from benchmate.craft.thread.learning.regression import Fit, NotDetermined, least_squares
from benchmate.craft.thread.observations import Used

NORRIS = """
0.2 0.1  337.4 338.8  118.2 118.1  884.6 888.0  10.1 9.2  226.5 228.1  666.3 668.5  996.3 998.5  448.6 449.1
777.0 778.9  558.2 559.2  0.4 0.3  0.6 0.1  775.5 778.1  666.9 668.8  338.0 339.3  447.5 448.9  11.6 10.8  556.0 557.7
228.1 228.3  995.8 998.0  887.6 888.8  120.2 119.6  0.3 0.3  0.3 0.6  556.8 557.6  339.1 339.3  887.2 888.0
999.0 998.5  779.0 778.9  11.1 10.2  118.3 117.6  229.2 228.9  669.1 668.4  448.9 449.2  0.5 0.2
"""
"""x and y of each point."""
LONGLEY = """
60323 83.0 234289 2356 1590 107608 1947
61122 88.5 259426 2325 1456 108632 1948
60171 88.2 258054 3682 1616 109773 1949
61187 89.5 284599 3351 1650 110929 1950
63221 96.2 328975 2099 3099 112075 1951
63639 98.1 346999 1932 3594 113270 1952
64989 99.0 365385 1870 3547 115094 1953
63761 100.0 363112 3578 3350 116219 1954
66019 101.2 397469 2904 3048 117388 1955
67857 104.6 419180 2822 2857 118734 1956
68169 108.4 442769 2936 2798 120445 1957
66513 110.8 444546 4681 2637 121950 1958
68655 112.6 482704 3813 2552 123366 1959
69564 114.2 502601 3931 2514 125368 1960
69331 115.7 518173 4806 2572 127852 1961
70551 116.9 554894 4007 2827 130081 1962
"""
"""y, then six predictors, a line for each year."""
NO_INT_1 = [[float(x)] for x in range(60, 71)], [float(y) for y in range(130, 141)]


def deviations(fit: Fit, rows: int) -> list[float]:
    """The standard deviations of the coefficients."""
    variance = fit.squares / (rows - len(fit.coefficients))
    return [math.sqrt(variance * line[place]) for place, line in enumerate(fit.covariance())]


def test_norris() -> None:
    numbers = list(map(float, NORRIS.split()))
    rows = [[1.0, x] for x in numbers[::2]]
    fit = least_squares(rows, numbers[1::2])
    assert len(rows) == 36
    assert fit.coefficients == pytest.approx([-0.262323073774029, 1.00211681802045], rel=1e-12)
    assert deviations(fit, 36) == pytest.approx([0.232818234301152, 0.429796848199937e-3], rel=1e-11)
    assert math.sqrt(fit.squares / 34) == pytest.approx(0.884796396144373, rel=1e-12)


def test_longley() -> None:
    table = [list(map(float, line.split())) for line in LONGLEY.strip().splitlines()]
    fit = least_squares([[1.0, *line[1:]] for line in table], [line[0] for line in table])
    certified = [
        *(-3482258.63459582, 15.0618722713733, -0.358191792925910e-1, -2.02022980381683, -1.03322686717359),
        *(-0.511041056535807e-1, 1829.15146461355),
    ]
    assert fit.coefficients == pytest.approx(certified, rel=1e-9)
    spread = [
        *(890420.383607373, 84.9149257747669, 0.334910077722432e-1, 0.488399681651699, 0.214274163161675),
        *(0.226073200069370, 455.478499142212),
    ]
    assert deviations(fit, 16) == pytest.approx(spread, rel=1e-9)


def test_normal_equations_lose_the_digits_that_qr_keeps() -> None:
    # Why the fit is made by QR: with these data the shorter way has half the digits.
    table = np.array([list(map(float, line.split())) for line in LONGLEY.strip().splitlines()])
    rows = np.hstack([np.ones((16, 1)), table[:, 1:]])
    short_way = np.linalg.inv(rows.T @ rows) @ (rows.T @ table[:, 0])
    fit = least_squares(rows.tolist(), table[:, 0].tolist())
    off = abs(short_way[0] / -3482258.63459582 - 1), abs(fit.coefficients[0] / -3482258.63459582 - 1)
    assert off[1] < 1e-10 < off[0]


def test_no_intercept() -> None:
    rows, values = NO_INT_1
    fit = least_squares(rows, values)
    (deviation,) = deviations(fit, 11)
    assert fit.coefficients == pytest.approx([2.07438016528926], rel=1e-13)
    assert deviation == pytest.approx(0.165289256198347e-1, rel=1e-12)
    # 2.228138852 is the 97.5 % point of Student's distribution with 10 degrees of freedom.
    ends = [fit.coefficients[0] + side * 2.228138852 * deviation for side in (-1, 1)]
    assert ends == pytest.approx([2.03755, 2.11121], abs=6e-6)
    two = least_squares([[4.0], [5.0], [6.0]], [3.0, 4.0, 4.0])
    assert two.coefficients == pytest.approx([8 / 11], rel=1e-14)
    assert deviations(two, 3) == pytest.approx([0.420827318078432e-1], rel=1e-12)


def test_a_prior_pulls_with_its_weight() -> None:
    rows, values = NO_INT_1
    weight = math.fsum(x * x for (x,) in rows)
    assert weight == 46585
    pulled = least_squares(rows, values, prior=[2.0], prior_rows=[[math.sqrt(weight)]])
    # Halfway between 2 and what the data say.
    assert pulled.coefficients == pytest.approx([2.03719008264463], rel=1e-14)


@pytest.mark.parametrize("seed", range(12))
def test_weighed_fits_with_a_prior_are_those_of_normal_equations(seed: int) -> None:
    chance = np.random.default_rng(seed)
    count, rows = int(chance.integers(1, 6)), int(chance.integers(1, 30))
    table, values = chance.normal(size=(rows, count)), chance.normal(size=rows)
    weights, prior = chance.uniform(0.1, 3, rows), chance.normal(size=count)
    root = np.triu(chance.normal(size=(count, count))) + 2 * np.eye(count)
    fit = least_squares(
        table.tolist(), values.tolist(), weights=weights.tolist(), prior=prior.tolist(), prior_rows=root.tolist()
    )
    precision = table.T @ (weights[:, None] * table) + root.T @ root
    expected = np.linalg.solve(precision, table.T @ (weights * values) + root.T @ root @ prior)
    assert fit.coefficients == pytest.approx(expected.tolist(), rel=1e-9, abs=1e-12)
    assert np.array(fit.covariance()) == pytest.approx(np.linalg.inv(precision), rel=1e-8, abs=1e-12)


def test_what_the_rows_leave_open_is_said() -> None:
    with pytest.raises(NotDetermined):
        least_squares([[1.0, 2.0], [2.0, 4.0], [3.0, 6.0]], [1.0, 2.0, 3.0])
    with pytest.raises(NotDetermined):
        least_squares([[1.0, 2.0]], [1.0])
    with pytest.raises(NotDetermined):
        least_squares([], [])


# Measured strings


def bands(seed: int, pieces: int, strings: int = 5) -> list[list[Used]]:
    """Pieces of a maker with constants, noise and tension of their own, without mistaken entries."""
    chance = Random(seed)
    constants = [getattr(FLOSS, field) * chance.uniform(0.8, 1.25) for field in FIELDS[:4]]
    found = []
    for _ in range(pieces):
        day, piece = chance.gauss(1, 0.04), []
        for _ in range(strings):
            counts = Counts(chance.randint(10, 60), *(chance.randint(0, 40) for _ in range(3)))
            need = sum(map(float.__mul__, map(float, counts), constants))
            piece.append(Used(counts, need * day * chance.gauss(1, 0.03)))
        found.append(piece)
    return found


def parts_of(piece: list[Used]) -> list[tuple[tuple[float, ...], float]]:
    """What the shipped constants make of each string, part by part, and what it used."""
    constants = [getattr(FLOSS, field) for field in FIELDS]
    return [
        (tuple(count * constant for count, constant in zip((*each.counts, 0), constants, strict=True)), each.mm)
        for each in piece
    ]


def written_out(
    pieces: list[list[Used]], shares: list[float], noise: float, tension: float
) -> tuple[
    "np.ndarray[tuple[int, int], np.dtype[np.float64]]",
    "np.ndarray[tuple[int], np.dtype[np.float64]]",
    "np.ndarray[tuple[int, int], np.dtype[np.float64]]",
]:
    """The rows, the values and the covariance of all strings, in full: each string relative to its need by `shares`."""
    strings = [(number, parts, mm) for number, piece in enumerate(pieces) for parts, mm in parts_of(piece)]
    need = np.array([np.dot(parts, shares) for _, parts, _ in strings])
    rows = np.array([parts for _, parts, _ in strings]) / need[:, None]
    values = np.array([mm for *_, mm in strings]) / need
    same = np.array([[one[0] == other[0] for other in strings] for one in strings], dtype=float)
    return rows, values, noise**2 * np.eye(len(strings)) + tension**2 * same


@pytest.mark.parametrize(("noise", "tension"), [(0.03, 0.04), (0.05, 0.01), (0.01, 0.08)])
def test_sums_over_pieces_give_what_the_whole_covariance_gives(noise: float, tension: float) -> None:
    pieces, shares = bands(3, 4), [1.1, 0.9, 1.0, 1.05, 1.0]
    rows, values, covariance = written_out(pieces, shares, noise, tension)
    inverse = np.linalg.inv(covariance)
    prior = np.linalg.inv(np.array(covariance_before(COMMON)))
    precision = prior + rows.T @ inverse @ rows
    expected = np.linalg.solve(precision, prior @ np.ones(COUNT) + rows.T @ inverse @ values)
    around = Strings([parts_of(piece) for piece in pieces]).around(shares)
    seen = around.sums([1.0] * len(values)).under(tension / noise)
    ours = prior + np.array(seen.precision) / noise**2
    gain = prior @ (1 - np.array(shares)) + np.array(seen.gain) / noise**2
    assert ours == pytest.approx(precision, rel=1e-9)
    assert np.array(shares) + np.linalg.solve(ours, gain) == pytest.approx(expected, rel=1e-9)
    rest = values - 1
    assert seen.squares / noise**2 == pytest.approx(rest @ inverse @ rest, rel=1e-9)
    whole = np.linalg.slogdet(covariance)[1] - len(values) * math.log(noise**2)
    assert seen.log_ratio == pytest.approx(whole, rel=1e-9)


@pytest.mark.parametrize("pieces", [1, 3, 8])
def test_the_need_of_the_next_string_is_that_of_a_fine_grid(pieces: int) -> None:
    """The mean and the 99 % point of the need, against numpy on a fine, wide grid of noise and tension, all in full."""
    seen = bands(11 + pieces, pieces)
    found = learned(FLOSS, seen, wide=1e-12)
    known = found._known
    assert known is not None
    shares = [getattr(found.gauge, field) / getattr(FLOSS, field) for field in FIELDS]
    parts = np.array(parts_of([Used(Counts(40, 30, 10, 20), 1.0)])[0][0])
    prior = np.linalg.inv(np.array(covariance_before(COMMON)))
    logs, normals = [], []
    for noise in np.exp(np.linspace(math.log(0.006), math.log(0.2), 28)):
        for tension in np.exp(np.linspace(math.log(0.004), math.log(0.4), 28)):
            rows, values, covariance = written_out(seen, shares, noise, tension)
            inverse = np.linalg.inv(covariance)
            precision = prior + rows.T @ inverse @ rows
            mean = np.linalg.solve(precision, prior @ np.ones(COUNT) + rows.T @ inverse @ values)
            off, rest = mean - 1, values - rows @ mean
            log = -(np.linalg.slogdet(precision)[1] + np.linalg.slogdet(covariance)[1]) / 2
            log -= (off @ prior @ off + rest @ inverse @ rest) / 2
            log -= (math.log(noise / NOISE[0]) / NOISE[1]) ** 2 / 2
            log -= (math.log(tension / TENSION[0]) / TENSION[1]) ** 2 / 2
            need = parts @ mean
            variance = parts @ np.linalg.inv(precision) @ parts + (parts @ shares) ** 2 * (noise**2 + tension**2)
            logs.append(log)
            normals.append((float(need), math.sqrt(variance)))
    weights = np.exp(np.array(logs) - max(logs))
    weights /= weights.sum()
    mean_need = float(np.dot(weights, [need for need, _ in normals]))
    point = quantile([(float(w), *normal) for w, normal in zip(weights, normals, strict=True) if w > 1e-9], LASTS)
    ours = sum(map(float.__mul__, shares, map(float, parts)))
    # The program trusts no string altogether, which shows where there are few.
    assert ours == pytest.approx(mean_need, rel=0.005)
    assert found.spare_mm(Counts(40, 30, 10, 20)) == pytest.approx(point - mean_need, rel=0.04)


def test_the_point_that_a_string_is_cut_for_is_that_of_chance() -> None:
    """Drawn from the mixture 400,000 times: constants, tension and noise; one need in 100 is above it."""
    found = learned(FLOSS, bands(5, 4))
    known = found._known
    assert known is not None
    chance = np.random.default_rng(1)
    parts = np.array(parts_of([Used(Counts(40, 30, 10, 20), 1.0)])[0][0])
    size = float(parts @ np.array(known.mean))
    draws = []
    for part in known.parts:
        count = round(400_000 * part.weight)
        constants = chance.multivariate_normal(part.mean, part.covariance, count)
        days = chance.normal(0, part.tension, count) + chance.normal(0, part.noise, count)
        draws.append(constants @ parts + size * days)
    needs = np.concatenate(draws)
    needed = size + found.spare_mm(Counts(40, 30, 10, 20))
    assert float(np.mean(needs > needed)) == pytest.approx(1 - LASTS, abs=0.001)


def test_the_prior_is_what_is_stated() -> None:
    drawn = np.random.default_rng(2).normal(0, COMMON, (200_000, 1)) + np.random.default_rng(3).normal(
        0, OWN, (200_000, COUNT)
    )
    assert np.cov(drawn.T) == pytest.approx(np.array(covariance_before(COMMON)), abs=3e-4)
    around = Strings([parts_of(bands(1, 1)[0])]).around([1.0] * COUNT)
    untouched = posterior(around.sums([0.0] * 5), [1.0] * COUNT, 1e-12, WIDEST)
    assert untouched.mean == pytest.approx([1.0] * COUNT)
    assert np.array(untouched.covariance) == pytest.approx(np.array(covariance_before(COMMON)), rel=1e-6)
