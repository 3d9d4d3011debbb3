"""Which mean becomes the figure, how wide it is, and how many flips are left."""

import math

import numpy as np
import pytest
from scipy import stats

from benchapp.reduction.flips.balanced import balance
from benchapp.reduction.flips.headline import HeadlineEstimate, headline

FRAME_MS = 22.5


def figure(
    latencies: np.ndarray,
    phases: np.ndarray,
    blocks: np.ndarray | None = None,
    *,
    frame_ms: float | None = FRAME_MS,
    locked_by_gap: bool = False,
    stopped_itself: bool = False,
    estimator: str | None = None,
) -> HeadlineEstimate:
    return headline(
        latencies,
        phases,
        np.zeros(len(latencies)) if blocks is None else blocks,
        frame_ms=frame_ms,
        misses_pulses=False,
        locked_by_gap=locked_by_gap,
        stopped_itself=stopped_itself,
        estimator=estimator,
    )


@pytest.fixture
def phases() -> np.ndarray:
    return np.random.default_rng(1).random(60)


@pytest.fixture
def sawtooth(phases: np.ndarray) -> np.ndarray:
    """Latencies that the phase explains."""
    return 30.0 + FRAME_MS * (1.0 - phases)


@pytest.fixture
def unrelated() -> np.ndarray:
    """Latencies that the phase says nothing about."""
    return np.random.default_rng(2).normal(30.0, 3.0, 60)


def test_where_the_phase_explains_the_spread_the_balanced_mean_is_narrower_and_wins(
    phases: np.ndarray, sawtooth: np.ndarray
) -> None:
    found = figure(sawtooth, phases)
    balanced = balance(phases, sawtooth, frame_ms=FRAME_MS, misses_pulses=False)
    assert found.estimator == "balanced-mean"
    assert (found.value_ms, found.half_width_ms) == (balanced.mean, balanced.half_width_ms)
    assert found.dof == pytest.approx(balanced.n_eff / 2)
    assert list(found.weights) == list(balanced.weights)


def test_where_the_phase_says_nothing_the_plain_mean_wins(phases: np.ndarray, unrelated: np.ndarray) -> None:
    found = figure(unrelated, phases)
    low, high = stats.t.interval(0.95, 59, unrelated.mean(), stats.sem(unrelated))
    assert found.estimator == "mean"
    assert found.ci95 == pytest.approx((low, high))
    assert found.dof == 59
    assert found.weights == pytest.approx(np.full(60, 1 / 60))


def test_a_run_locked_by_its_gap_or_without_phases_or_frame_is_never_balanced(
    phases: np.ndarray, sawtooth: np.ndarray
) -> None:
    unknown = phases.copy()
    unknown[7] = math.nan
    assert figure(sawtooth, phases, locked_by_gap=True).estimator == "mean"
    assert figure(sawtooth, unknown).estimator == "mean"
    assert figure(sawtooth, phases, frame_ms=None).estimator == "mean"


def test_from_three_switch_ons_the_figure_is_the_mean_of_their_means(phases: np.ndarray, sawtooth: np.ndarray) -> None:
    blocks = np.repeat([0, 1, 2], [10, 20, 30])
    found = figure(sawtooth, phases, blocks)
    means = [sawtooth[:10].mean(), sawtooth[10:30].mean(), sawtooth[30:].mean()]
    low, high = stats.t.interval(0.95, 2, np.mean(means), stats.sem(means))
    assert found.estimator == "mean-of-switch-ons"
    assert found.ci95 == pytest.approx((low, high))
    assert found.dof == 2
    assert float(np.dot(found.weights, sawtooth)) == pytest.approx(found.value_ms)


def test_two_switch_ons_are_not_enough_to_average_over(phases: np.ndarray, sawtooth: np.ndarray) -> None:
    assert figure(sawtooth, phases, np.repeat([0, 4], 30)).estimator == "balanced-mean"


def test_a_run_that_stopped_itself_is_a_tenth_wider(phases: np.ndarray, sawtooth: np.ndarray) -> None:
    plain, stopped = figure(sawtooth, phases), figure(sawtooth, phases, stopped_itself=True)
    assert plain.half_width_ms is not None
    assert stopped.value_ms is not None
    assert stopped.half_width_ms == pytest.approx(1.1 * plain.half_width_ms)
    assert stopped.ci95 == (stopped.value_ms - stopped.half_width_ms, stopped.value_ms + stopped.half_width_ms)
    assert stopped.value_ms == plain.value_ms


def test_an_estimator_asked_for_is_used_whatever_its_width(phases: np.ndarray, sawtooth: np.ndarray) -> None:
    assert figure(sawtooth, phases, estimator="mean").estimator == "mean"
    assert figure(sawtooth, phases, estimator="balanced-mean").estimator == "balanced-mean"
    assert figure(sawtooth, phases, locked_by_gap=True, estimator="balanced-mean").estimator == "mean"


def test_no_trial_has_no_figure_and_one_has_no_interval() -> None:
    none = figure(np.empty(0), np.empty(0))
    assert (none.value_ms, none.half_width_ms, none.ci95, none.dof) == (None, None, (None, None), None)
    one = figure(np.array([25.0]), np.array([0.5]), stopped_itself=True)
    assert (one.value_ms, one.half_width_ms, one.ci95, one.dof) == (25.0, None, (None, None), None)
