"""Ranks of two samples against published figures and against scipy. Sources stand in data/two_sample.json."""

import json
from pathlib import Path

import numpy as np
import pytest
from scipy import stats

from benchapp.reduction.comparing.rank_tests import MOST_EXACT, hodges_lehmann, mann_whitney_p

PUBLISHED = json.loads((Path(__file__).parent / "data" / "two_sample.json").read_text(encoding="utf-8"))


def test_the_exact_p_of_scipy_s_own_example():
    own = PUBLISHED["scipy_doc"]  # scipy 1.17.1, docstring of mannwhitneyu
    assert mann_whitney_p(own["x"], own["y"]) == pytest.approx(own["published"]["p_exact_two_sided"], abs=1e-15)


def test_the_permeability_example_of_hollander_and_wolfe():
    own = PUBLISHED["permeability"]  # Hollander and Wolfe 1973, p. 69f; one-sided p printed as 0.1272
    shift, interval = hodges_lehmann(own["y"], own["x"])  # y first: the published shift is x less y
    recomputed = own["recomputed_here"]
    assert shift == pytest.approx(recomputed["hodges_lehmann_x_minus_y"])
    assert interval == pytest.approx(recomputed["ci95_x_minus_y"])
    p = mann_whitney_p(own["x"], own["y"])
    assert p == pytest.approx(recomputed["p_exact_two_sided"])
    assert f"{p / 2:.4f}" == own["published"]["p_exact_greater"]


def test_tied_values_share_their_ranks():
    own = PUBLISHED["react"]  # SAS/STAT NPAR1WAY documentation; the exact p was worked out beside it
    assert mann_whitney_p(own["stim1"], own["stim2"]) == pytest.approx(own["recomputed_here"]["p_exact_two_sided"])
    shift, _ = hodges_lehmann(own["stim1"], own["stim2"])
    assert shift == pytest.approx(own["published"]["hl_shift"])


@pytest.mark.parametrize(("m", "n"), [(3, 3), (5, 5), (5, 12), (12, 12), (2, 30)])
def test_the_exact_p_is_scipy_s(m: int, n: int):
    rng = np.random.default_rng(m * 100 + n)
    for _ in range(5):
        x, y = rng.normal(0, 1, m), rng.normal(0.7, 1.5, n)
        exact = stats.mannwhitneyu(x, y, method="exact").pvalue
        assert mann_whitney_p(x, y) == pytest.approx(exact, rel=1e-9)


def test_large_samples_take_the_normal_law_with_both_corrections():
    rng = np.random.default_rng(4)
    x, y = np.round(rng.normal(0, 1, 40), 1), np.round(rng.normal(0.3, 1, MOST_EXACT), 1)
    asymptotic = stats.mannwhitneyu(x, y, method="asymptotic", use_continuity=True).pvalue
    assert mann_whitney_p(x, y) == pytest.approx(asymptotic, rel=1e-9)


def test_the_interval_holds_the_true_shift_as_often_as_it_says():
    rng = np.random.default_rng(5)
    held = 0
    for _ in range(600):
        _, interval = hodges_lehmann(rng.normal(0, 1, 6), rng.normal(1, 1, 8))
        assert interval is not None
        held += interval[0] <= 1.0 <= interval[1]
    assert held / 600 >= stats.binom.ppf(0.001, 600, 0.95) / 600


def test_three_and_three_cannot_reach_95_percent():
    shift, interval = hodges_lehmann([1, 2, 3], [4, 6, 8])
    assert shift == 4.0
    assert interval is None


def test_without_values_there_is_nothing():
    assert hodges_lehmann([], [1.0]) == (None, None)
    assert mann_whitney_p([1.0], []) is None
