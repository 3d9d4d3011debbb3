"""Phase tests against published examples and critical values."""

import math
from itertools import pairwise

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import special

from benchapp.reduction.flips.circular import (
    gap_p,
    kuiper_p,
    kuiper_v_star,
    largest_gap,
    locked_by_gap,
    phase_locked,
    rayleigh_p,
    uneven,
)

# Zar, Biostatistical Analysis (2010), example 27.1, as quoted in the tests of circstat/pycircstat2 (1845c54).
ZAR = np.array([45, 55, 81, 96, 110, 117, 132, 154]) / 360
# r.test of the R package CircStats, as quoted in astropy's test_circstats.
CIRCSTATS = np.array([190.18, 175.48, 155.95, 217.83, 156.36]) / 360
# Mardia and Jupp, Directional Statistics, example 1.1 (roulette), as quoted in public test suites.
ROULETTE = np.array([43, 45, 52, 61, 75, 88, 88, 279, 357]) / 360
# Fisher, Statistical Analysis of Circular Data (1993), data set B5 (axes, period 180 degrees), and its Kuiper value, as
# in circstat/pycircstat2 (1845c54).
FISHER_B5_DEGREES = """
1 1 2 2 3 8 9 12 16 17 19 23 28 28 34 34 35 36 36 37 41 45 49 50 51 53 58 68 69 70 72 72 76 78 80 85 97 97 99 101 105
121 125 126 133 141 143 149 152 156 160 163 167 168 170 171 172 174 175 176
"""
FISHER_B5 = np.array(FISHER_B5_DEGREES.split(), dtype=float) / 180
# Davis, Statistics and Data Analysis in Geology, table A.10 (after Mardia 1972): critical mean resultant lengths at
# 10, 5, 2.5 and 1 %. Rows of 4 and 5 are old approximations and left out.
DAVIS_A10 = {
    6: (0.618, 0.690, 0.753, 0.825),
    7: (0.572, 0.642, 0.702, 0.771),
    8: (0.535, 0.602, 0.660, 0.725),
    9: (0.504, 0.569, 0.624, 0.687),
    10: (0.478, 0.540, 0.594, 0.655),
    12: (0.437, 0.494, 0.544, 0.602),
    14: (0.405, 0.458, 0.505, 0.560),
    16: (0.379, 0.429, 0.474, 0.525),
    18: (0.357, 0.405, 0.447, 0.496),
    20: (0.339, 0.385, 0.425, 0.472),
    23: (0.316, 0.359, 0.397, 0.441),
}


def phases_of_resultant(n: int, length: float) -> np.ndarray:
    """Return n phases whose mean resultant has the given length: two equal fans turned apart (n even or odd)."""
    even = np.arange(n) / n
    # Pulling even phases together by k gives a resultant that rises with k from 0 to 1.
    low, high = 0.0, 1.0
    for _ in range(60):
        pull = (low + high) / 2
        if abs(np.mean(np.exp(2j * np.pi * even * (1 - pull)))) < length:
            low = pull
        else:
            high = pull
    return even * (1 - low)


def p_of(phases: np.ndarray) -> float:
    """Return Rayleigh's p, which must exist."""
    p = rayleigh_p(phases)
    assert p is not None
    return p


def exact_rayleigh_p(n: int, length: float) -> float:
    """Return P(resultant > length) for n random directions: Kluyver's integral 1 - R∫J1(Rt)J0(t)^n dt."""
    nodes, weights = np.polynomial.legendre.leggauss(40)
    edges = np.linspace(0, 60, 481)
    step = edges[1] - edges[0]
    t = (edges[:-1, None] + step * (nodes + 1) / 2).ravel()
    r = n * length
    return 1 - r * float(np.sum(np.tile(weights * step / 2, 480) * special.j1(r * t) * special.j0(t) ** n))


def test_rayleigh_gives_zar_s_example_between_the_printed_bounds() -> None:
    assert 0.001 < p_of(ZAR) < 0.002


def test_rayleigh_gives_the_r_package_s_value() -> None:
    assert rayleigh_p(CIRCSTATS) == pytest.approx(0.00640418, abs=5e-9)


def test_rayleigh_finds_the_roulette_wheel_uneven_at_5_percent_and_not_at_half_a_percent() -> None:
    # Resultant 0.711 printed there; the table of critical values gives 0.687 for 1 % of 9.
    assert 0.005 < p_of(ROULETTE) < 0.01


@pytest.mark.parametrize("n", DAVIS_A10)
def test_rayleigh_reaches_the_printed_critical_values(n: int) -> None:
    for length, level in zip(DAVIS_A10[n], (0.10, 0.05, 0.025, 0.01), strict=True):
        # Printed values are good to 0.003 of the length: p must cross its level within that.
        assert p_of(phases_of_resultant(n, length + 0.003)) < level < p_of(phases_of_resultant(n, length - 0.003))


@pytest.mark.parametrize("n", [8, 13, 20, 60])
def test_rayleigh_is_within_2_percent_of_the_exact_law_where_the_flag_is_decided(n: int) -> None:
    lengths = np.linspace(0.05, 0.95, 80)
    exact = np.array([exact_rayleigh_p(n, length) for length in lengths])
    length = float(lengths[np.argmin(np.abs(np.log(np.clip(exact, 1e-9, 1)) - math.log(0.001)))])
    assert rayleigh_p(phases_of_resultant(n, length)) == pytest.approx(exact_rayleigh_p(n, length), rel=0.02)


@pytest.mark.parametrize("n", [2, 3, 5, 10, 60, 1000])
def test_rayleigh_stays_a_probability_and_falls_as_phases_draw_together(n: int) -> None:
    values = [p_of(phases_of_resultant(n, length)) for length in np.linspace(0.0, 0.999, 40)]
    assert values[0] == pytest.approx(1.0, abs=1e-6)
    assert all(0.0 <= value <= 1.0 for value in values)
    # 1.2: where the series hands over to the bound, far below any limit, p may rise a little.
    assert all(later <= 1.2 * earlier for earlier, later in pairwise(values))


def test_kuiper_gives_fisher_s_value() -> None:
    # V* = 1.5864 for data set B5, p > 0.05 (Fisher 1993).
    assert kuiper_v_star(FISHER_B5) == pytest.approx(1.5864, abs=5e-5)
    p = kuiper_p(FISHER_B5)
    assert p is not None
    assert 0.05 < p < 0.15


@pytest.mark.parametrize(("v_star", "level"), [(1.620, 0.10), (1.747, 0.05), (1.862, 0.025), (2.001, 0.01)])
def test_kuiper_reaches_stephens_limits(v_star: float, level: float) -> None:
    # Stephens, JRSS B 32 (1970) 115, table 1 (typed from memory).
    root = math.sqrt(60)
    phases = phases_of_v(60, v_star / (root + 0.155 + 0.24 / root))
    assert kuiper_v_star(phases) == pytest.approx(v_star, rel=1e-12)
    assert kuiper_p(phases) == pytest.approx(level, rel=0.02)


@pytest.mark.parametrize("n", [20, 60])
def test_kuiper_calls_about_one_even_run_in_a_thousand_locked(n: int) -> None:
    runs = 100_000
    phases = np.sort(np.random.default_rng(n).random((runs, n)), axis=1)
    steps = np.arange(1, n + 1) / n
    v = np.max(steps - phases, axis=1) + np.max(phases - steps + 1 / n, axis=1)
    limit = next(value for value in np.linspace(0.1, 0.6, 2001) if (kuiper_p(phases_of_v(n, value)) or 1) < 0.001)
    # Four binomial standard errors of 100,000 runs, and a tenth for the approximation.
    assert float(np.mean(v >= limit)) == pytest.approx(0.001, abs=4 * math.sqrt(0.001 / runs) + 1e-4)


def phases_of_v(n: int, v: float) -> np.ndarray:
    """Return n evenly stepped phases that leave so much of the circle bare that Kuiper's V is v."""
    return np.arange(n) / (n - 1) * (1 - v)


def test_turning_the_circle_changes_nothing() -> None:
    for turn in (0.1, 0.37, 0.9):
        assert rayleigh_p(ZAR + turn) == pytest.approx(rayleigh_p(ZAR), rel=1e-9)
        assert kuiper_p(FISHER_B5 + turn) == pytest.approx(kuiper_p(FISHER_B5), rel=1e-9)
        assert largest_gap(ZAR + turn) == pytest.approx(largest_gap(ZAR), rel=1e-9)


def test_kuiper_sees_two_opposite_bunches_that_rayleigh_cannot() -> None:
    phases = np.concatenate([np.full(30, 0.1), np.full(30, 0.6)]) + np.linspace(0, 0.02, 60)
    rayleigh, kuiper = rayleigh_p(phases), kuiper_p(phases)
    assert rayleigh is not None
    assert kuiper is not None
    assert rayleigh > 0.5
    assert kuiper < 0.001


def test_the_largest_gap_goes_round_the_circle() -> None:
    assert largest_gap([0.9, 0.1, 0.3]) == pytest.approx(0.6)
    assert largest_gap([0.2, 0.1, 0.5]) == pytest.approx(0.6)
    assert largest_gap([0.25]) == 1.0
    assert largest_gap([]) is None


def test_a_gap_counts_as_locked_above_0_3_and_above_0_4_in_short_runs() -> None:
    assert [locked_by_gap(0.31, 30), locked_by_gap(0.3, 30)] == [True, False]
    assert [locked_by_gap(0.41, 29), locked_by_gap(0.4, 29)] == [True, False]
    assert not locked_by_gap(None, 0)


def test_either_test_or_the_gap_is_enough_to_be_locked() -> None:
    assert phase_locked(0.0009, 0.5, 0.1, 60)
    assert phase_locked(0.5, 0.0009, 0.1, 60)
    assert phase_locked(0.5, 0.5, 0.35, 60)
    assert not phase_locked(0.001, 0.001, 0.3, 60)
    assert not phase_locked(None, None, None, 0)


def test_below_thirty_flips_one_run_in_a_hundred_is_enough_to_be_locked() -> None:
    assert [phase_locked(0.009, 0.5, 0.1, n) for n in (29, 30)] == [True, False]
    assert [phase_locked(0.5, 0.009, 0.1, n) for n in (29, 30)] == [True, False]
    assert not phase_locked(0.01, 0.01, 0.4, 29)


GAPS_OF_ONE_IN_A_HUNDRED = {5: 0.793, 10: 0.535, 20: 0.329, 30: 0.243, 60: 0.137, 100: 0.089, 200: 0.048}
"""The widest gap that evenly random flips leave in one run of a hundred, by length; by the script below, 20,000 runs
each: `python -m tests.reduction.test_circular`."""


def simulated_gaps(n: int, runs: int) -> NDArray[np.float64]:
    """Return the widest gap round the circle of each of so many runs of n evenly random flips."""
    phases = np.sort(np.random.default_rng(n).random((runs, n)), axis=1)
    return np.maximum(np.diff(phases, axis=1).max(axis=1), 1.0 - (phases[:, -1] - phases[:, 0]))


@pytest.mark.parametrize("n", GAPS_OF_ONE_IN_A_HUNDRED)
def test_a_gap_s_chance_is_that_of_simulated_runs(n: int) -> None:
    gaps = simulated_gaps(n, 4000)
    for share in (0.5, 0.1, 0.01):
        exact = gap_p(float(np.quantile(gaps, 1 - share)), n)
        assert exact == pytest.approx(share, abs=4 * math.sqrt(share * (1 - share) / 4000))  # four standard deviations
    # The table's own error: one in a hundred of 20,000 runs is 200 ± 14.
    assert gap_p(GAPS_OF_ONE_IN_A_HUNDRED[n], n) == pytest.approx(0.01, rel=0.2)


@pytest.mark.parametrize("n", [5, 20, 60, 200])
def test_evenly_random_flips_are_called_uneven_in_one_run_of_a_hundred_and_not_more(n: int) -> None:
    runs = 4000
    phases = np.random.default_rng(n + 1).random((runs, n))
    share = float(np.mean([uneven(run) for run in phases]))
    assert share <= 0.01 + 4 * math.sqrt(0.01 * 0.99 / runs)
    assert share >= 0.01 - 4 * math.sqrt(0.01 * 0.99 / runs)


def test_an_uneven_run_is_one_with_a_gap_that_chance_hardly_leaves() -> None:
    even = np.arange(60) / 60
    assert not uneven(even)
    assert not uneven(even * (1 - 0.11))  # a gap of 0.125
    assert uneven(even * (1 - 0.14))  # a gap of 0.154
    assert not uneven([])
    assert gap_p(1.0, 1) == 1.0  # one flip always leaves the whole circle
    assert gap_p(0.01, 60) == 1.0
    assert gap_p(0.002, 2000) == pytest.approx(1.0)


if __name__ == "__main__":
    for length in GAPS_OF_ONE_IN_A_HUNDRED:
        print(length, round(float(np.quantile(simulated_gaps(length, 20_000), 0.99)), 3))
