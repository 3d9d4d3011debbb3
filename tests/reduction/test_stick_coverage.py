"""Short form of how often stated intervals and claims of stick tests are right; long form: stick_coverage."""

import numpy as np
import pytest

from benchapp.records.sweep_findings import LINES
from benchapp.reduction.sweep import linearity_budget as budget
from tests.reduction.line_weights import alone, at_the_ends, bent_lead, between_rests, weights
from tests.reduction.stick_coverage import CLAIMS, HOLDS, hold_rates, sweep_rates
from tests.reduction.stick_laws import FAULTY, PERFECT

FINE = {"bits": 16, "full_scale_v": 5.0, "step_us": 0.0}
"""A lead and an output without steps to hide behind: what is left of the give or take must hold by itself."""
SHORT = 24
HELD = 1 - 5 / SHORT
"""In so few sweeps a rate of 95 % shows at least this with a probability above 0.997 (binomial)."""


@pytest.mark.parametrize(
    "law", ["noisy", "no steps, 16 bits", "1 us steps at 22 ms", "expo 30", "ripple", "strokes differ"]
)
def test_each_line_s_give_or_take_holds_the_law_s_own_figure(law):
    rates = sweep_rates({**PERFECT, **FAULTY}[law] | FINE, SHORT)
    for name in LINES:
        assert rates.held[name] >= HELD, name


@pytest.mark.parametrize("law", ["quiet", "4 us steps at 7 ms", "quick by hand", "coarse stamps"])
def test_of_a_perfect_stick_nothing_is_claimed(law):
    rates = sweep_rates(PERFECT[law], SHORT, seed=3000)
    for claim in CLAIMS:
        assert rates.claimed[claim] <= 2 / SHORT, claim


@pytest.mark.parametrize(
    ("law", "claim"),
    [
        ("hysteresis", "hysteresis_resolved"),
        ("play", "dead_band_resolved"),
        ("strokes differ", "repeatability_resolved"),
        ("places differ", "repeatability_resolved"),
        ("expo 30", "smooth_curve"),
    ],
)
def test_what_is_wrong_with_a_stick_is_claimed(law, claim):
    assert sweep_rates(FAULTY[law], 6, seed=4000).claimed[claim] >= 5 / 6


def test_the_give_or_take_of_a_quiet_stick_is_no_wider_than_its_sources_ask_for():
    rates = sweep_rates(PERFECT["quiet"] | FINE, 6)
    # Nothing but pulse noise of 0.06 µs and stamps of 62.5 ns on 800 µs is left.
    assert rates.u_pct["independent"] < 0.006
    assert rates.u_pct["terminal"] < 0.009


@pytest.mark.parametrize("law", HOLDS)
def test_wandering_without_a_trend_is_not_called_drift_and_the_spread_lies_in_its_interval(law):
    rates = hold_rates(HOLDS[law], 60)
    # Of 60 at 5 %, more than 7 come with a probability of 0.01 (binomial).
    assert rates.drifting <= 7 / 60
    if rates.held is not None:
        assert rates.held >= 1 - 8 / 60


def test_least_squares_over_single_pulses_would_call_wandering_drift():
    from scipy import stats  # noqa: PLC0415

    rng, called = np.random.default_rng(5), []
    for _ in range(60):
        line = stats.linregress(np.arange(1500), HOLDS["slow wander"].draw(rng, 1500))
        called.append(abs(line.slope) > 1.96 * line.stderr)
    assert np.mean(called) > 0.6


@pytest.mark.parametrize(
    ("draw", "positions", "stated"),
    [
        (alone, 5, budget.alone_weights(5)),
        (alone, 11, budget.alone_weights(11)),
        (alone, 51, budget.alone_weights(51)),
        (at_the_ends, 51, budget.END_WEIGHTS),
    ],
)
def test_weights_are_what_each_line_makes_of_errors_alone(draw, positions, stated):
    found = weights(draw, positions, draws=1500)
    for name in LINES:
        assert getattr(stated, name) == pytest.approx(found[name], rel=0.05), name


def test_weights_with_a_margin_are_not_below_what_errors_alone_ask_for():
    for draw, stated in ((between_rests, budget.RESTED_WEIGHTS), (bent_lead, budget.LEAD_WEIGHTS)):
        found = weights(draw, 51, draws=600)
        for name in LINES:
            assert found[name] <= getattr(stated, name) <= 1.6 * found[name], (draw.__name__, name)
