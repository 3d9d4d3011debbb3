"""Phase-balanced figures against their formulas, written out slowly, and against known truth."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from benchapp.records.errors import NotEnoughData
from benchapp.reduction.flips.balanced import balance, balanced_percentile

FRAME_MS = 22.5


def sawtooth(phases: np.ndarray, fastest_ms: float = 30.0) -> np.ndarray:
    """Return the latencies of a radio whose scan keeps step with its frame: whatever is left of the frame is waited."""
    return fastest_ms + FRAME_MS * ((0.3 - phases) % 1.0)


def slow_figures(phases: list[float], latencies: list[float], missing: bool) -> tuple[float, float, float]:
    """Return balanced mean, half-width and n_eff by loops over the definition."""
    trials = sorted(zip(phases, latencies, strict=True), key=lambda trial: trial[0])
    n = len(trials)
    places = [phase for phase, _ in trials]
    gap = [after - before for before, after in zip(places, [*places[1:], places[0] + 1.0], strict=True)]
    w = [(gap[i - 1] + gap[i]) / 2 for i in range(n)]
    d = [trials[(i + 1) % n][1] - trials[i][1] for i in range(n)]
    n_eff = 1 / sum(x * x for x in w)
    local = sum(w[i] ** 2 * (d[i] ** 2 + d[i - 1] ** 2) / 2 for i in range(n)) / 2
    pooled = sum(x * x for x in d) / n * sum(x * x for x in w) / 2
    variance = max(local, pooled) + (0.5 * (FRAME_MS / n_eff) ** 2 if missing else 0.0)
    half_width = float(stats.t.ppf(0.975, n_eff / 2)) * math.sqrt(variance)
    return sum(w[i] * trials[i][1] for i in range(n)), half_width, n_eff


@given(
    trials=st.lists(st.tuples(st.floats(0, 0.999), st.floats(5, 80)), min_size=2, max_size=30),
    missing=st.booleans(),
)
def test_mean_and_interval_are_those_of_the_definition(trials: list[tuple[float, float]], missing: bool) -> None:
    phases, latencies = [t[0] for t in trials], [t[1] for t in trials]
    centre, half_width, n_eff = slow_figures(phases, latencies, missing)
    found = balance(phases, latencies, frame_ms=FRAME_MS, misses_pulses=missing)
    assert found.mean == pytest.approx(centre, rel=1e-9)
    assert found.n_eff == pytest.approx(n_eff, rel=1e-9)
    assert found.half_width_ms == pytest.approx(half_width, rel=1e-8, abs=1e-9)
    assert found.mean_ci95 == pytest.approx((centre - half_width, centre + half_width), rel=1e-8, abs=1e-6)
    assert float(np.sum(found.weights)) == pytest.approx(1.0)
    assert float(np.dot(found.weights, latencies)) == pytest.approx(centre, rel=1e-9)


def test_a_small_case_comes_out_as_worked_by_hand() -> None:
    # Phases 0, 1/4, 1/2: gaps 1/4, 1/4, 1/2; weights 3/8, 1/4, 3/8; Σw² = 11/32; steps 2, 4, -6; mean d² = 56/3.
    # Local: ½(9/64·(36+4)/2 + 1/16·(4+16)/2 + 9/64·(16+36)/2) = 3.546875; pooled: ½·56/3·11/32 = 3.208333.
    found = balance([0.5, 0.0, 0.25], [16.0, 10.0, 12.0], frame_ms=20.0, misses_pulses=False)
    assert list(found.weights) == [0.375, 0.375, 0.25]
    assert found.mean == pytest.approx(12.75)
    assert found.n_eff == pytest.approx(32 / 11)
    assert found.half_width_ms == pytest.approx(float(stats.t.ppf(0.975, 16 / 11)) * math.sqrt(3.546875))
    # Places in latency: 3/16, 1/2, 13/16.
    assert found.median == pytest.approx(12.0)
    assert found.p95 is None


def test_missing_pulses_widen_the_interval_by_half_a_squared_frame_share() -> None:
    phases = np.arange(60) / 60
    without = balance(phases, sawtooth(phases), frame_ms=FRAME_MS, misses_pulses=False)
    with_missing = balance(phases, sawtooth(phases), frame_ms=FRAME_MS, misses_pulses=True)
    t = float(stats.t.ppf(0.975, 30))
    assert without.half_width_ms is not None
    assert with_missing.half_width_ms is not None
    extra = (with_missing.half_width_ms / t) ** 2 - (without.half_width_ms / t) ** 2
    assert extra == pytest.approx(0.5 * (FRAME_MS / 60) ** 2, rel=1e-9)


def test_flips_bunched_at_one_phase_do_not_pull_the_figure() -> None:
    rng = np.random.default_rng(3)
    # Three quarters of the flips fall into one quarter of the frame: the plain mean follows them.
    phases = np.concatenate([rng.uniform(0.0, 0.25, 90), rng.uniform(0.25, 1.0, 30)])
    latencies = sawtooth(phases)
    truth = 30.0 + FRAME_MS / 2
    found = balance(phases, latencies, frame_ms=FRAME_MS, misses_pulses=False)
    assert abs(float(np.mean(latencies)) - truth) > 1.0
    assert abs(found.mean - truth) < 0.5
    assert found.median == pytest.approx(truth, abs=0.8)
    assert found.p95 == pytest.approx(30.0 + 0.95 * FRAME_MS, abs=0.8)


def test_phases_as_even_as_can_be_give_the_plain_mean() -> None:
    phases = (np.arange(40) + 0.5) / 40
    latencies = sawtooth(phases)
    found = balance(phases, latencies, frame_ms=FRAME_MS, misses_pulses=False)
    assert found.mean == pytest.approx(float(np.mean(latencies)))
    assert found.n_eff == pytest.approx(40.0)
    assert found.weights == pytest.approx(np.full(40, 1 / 40))


def test_the_order_of_the_trials_does_not_matter_but_the_weights_follow_it() -> None:
    rng = np.random.default_rng(4)
    phases = rng.random(30)
    latencies = sawtooth(phases)
    order = rng.permutation(30)
    one = balance(phases, latencies, frame_ms=FRAME_MS, misses_pulses=False)
    other = balance(phases[order], latencies[order], frame_ms=FRAME_MS, misses_pulses=False)
    assert other.mean == pytest.approx(one.mean)
    assert other.weights == pytest.approx(one.weights[order])
    assert other.p95_ci95 == pytest.approx(one.p95_ci95)


def test_equal_phases_share_the_circle_without_dividing_by_nothing() -> None:
    found = balance([0.2, 0.2, 0.2, 0.7], [10.0, 11.0, 12.0, 20.0], frame_ms=FRAME_MS, misses_pulses=False)
    assert found.weights == pytest.approx([0.25, 0.0, 0.25, 0.5])
    assert found.mean == pytest.approx(15.5)
    assert found.half_width_ms is not None
    assert math.isfinite(found.half_width_ms)
    everyone = balance([0.4] * 5, [10.0, 11.0, 12.0, 13.0, 14.0], frame_ms=FRAME_MS, misses_pulses=False)
    assert everyone.mean == pytest.approx(12.0)


def test_equal_latencies_are_known_exactly() -> None:
    found = balance(np.arange(20) / 20, [25.0] * 20, frame_ms=FRAME_MS, misses_pulses=False)
    assert (found.mean, found.half_width_ms) == (pytest.approx(25.0), 0.0)
    assert found.median_ci95 == (25.0, 25.0)


def test_a_percentile_s_limit_is_none_where_it_leaves_the_data() -> None:
    phases = np.arange(20) / 20
    found = balance(phases, sawtooth(phases), frame_ms=FRAME_MS, misses_pulses=False)
    low, high = found.p95_ci95
    # The last place is 0.975; 0.95 plus t(10)·√(½/400), 0.08, lies beyond it.
    assert found.p95 is not None
    assert low is not None
    assert low < found.p95
    assert high is None


def test_a_median_s_interval_on_a_sawtooth_reaches_t_flips_to_either_side() -> None:
    n = 200
    phases = np.arange(n) / n
    latencies = sawtooth(phases)
    found = balance(phases, latencies, frame_ms=FRAME_MS, misses_pulses=False)
    # On a sawtooth the indicator steps twice round the circle: ½·mean(d²)·Σw² = ½·(2/n)/n = 1/n².
    reach = float(stats.t.ppf(0.975, n / 2)) * 1.0 / n
    expected = [balanced_percentile(latencies, found.weights, 0.5 + side * reach) for side in (-1, 1)]
    assert found.median_ci95 == pytest.approx(expected)


def test_one_trial_has_a_mean_and_no_intervals() -> None:
    found = balance([0.4], [21.0], frame_ms=FRAME_MS, misses_pulses=True)
    assert (found.mean, found.n_eff) == (pytest.approx(21.0), pytest.approx(1.0))
    assert found.mean_ci95 == found.median_ci95 == found.p95_ci95 == (None, None)
    assert found.half_width_ms is None


def test_nothing_and_unequal_lengths_are_refused() -> None:
    with pytest.raises(NotEnoughData, match="at least one answered flip"):
        balance([], [], frame_ms=FRAME_MS, misses_pulses=False)
    with pytest.raises(ValueError, match="a phase for each latency"):
        balance([0.1, 0.2], [10.0], frame_ms=FRAME_MS, misses_pulses=False)
