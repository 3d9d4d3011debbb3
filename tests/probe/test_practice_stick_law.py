"""What the practice radio makes of its stick, and what it says of that, against formulas written out here."""

import math

import numpy as np
import pytest
from scipy.optimize import linprog

from benchapp.probe.practice.hand import Motion, even_places
from benchapp.probe.practice.law import switch_on
from benchapp.probe.practice.options import BenchOptions
from benchapp.probe.practice.radios import ALDER, BIRCH, RADIOS
from benchapp.probe.practice.stick_law import StickChain, StickLaw
from benchapp.probe.practice.stick_reader import long_run_age_ms
from benchapp.probe.practice.sweep_truth import loop, loop_figures, sweep_entry

PLACES = np.linspace(0, 1, 2001)


def law(**changes) -> StickLaw:
    return StickLaw(**{"low_us": 1000.0, "high_us": 2000.0, **changes})


def closed(the_law: StickLaw):
    return loop(the_law, PLACES)


def test_a_law_without_faults_is_a_straight_line():
    found = closed(law())
    assert found.up_us == pytest.approx(1000 + 1000 * PLACES)
    assert found.down_us == pytest.approx(found.up_us)


def test_play_shifts_the_line_by_half_of_it_each_way_and_holds_the_output_after_a_turn():
    found = closed(law(dead_band=0.02))
    inside = (PLACES >= 0.02) & (PLACES <= 0.98)
    assert found.up_us[inside] == pytest.approx(1000 + 1000 * (PLACES[inside] - 0.01))
    assert found.down_us[inside] == pytest.approx(1000 + 1000 * (PLACES[inside] + 0.01))
    assert found.up_us[PLACES <= 0.02] == pytest.approx(1010.0)
    assert loop_figures(found)["hysteresis_pct"] == pytest.approx(100 * 20 / 980, abs=1e-4)


def test_hysteresis_is_of_the_output_and_alike_on_a_curved_one():
    found = closed(law(expo=0.5, hysteresis=0.01))
    inside = (PLACES > 0.05) & (PLACES < 0.95)
    assert (found.down_us - found.up_us)[inside] == pytest.approx(10.0)


def test_expo_is_flatter_round_the_centre_and_keeps_the_ends():
    flat = closed(law(expo=0.6)).up_us
    slope = np.gradient(flat, PLACES)
    assert slope[1000] == pytest.approx(400, rel=1e-3)
    assert slope[1] == pytest.approx(400 + 3 * 600, rel=1e-2)
    assert (flat[0], flat[-1]) == pytest.approx((1000, 2000))


def test_a_flat_centre_is_as_wide_as_it_says():
    up = closed(law(centre_flat=0.1)).up_us
    still = PLACES[np.abs(up - 1500) < 1e-9]
    assert (still[0], still[-1]) == pytest.approx((0.45, 0.55), abs=1e-3)


def test_a_clipped_output_stands_at_its_ends_before_the_stick_does():
    up = closed(law(clip=0.1)).up_us
    assert (up[0], up[-1]) == (1100.0, 1900.0)
    assert PLACES[np.argmax(up > 1100.0)] == pytest.approx(0.1, abs=1e-3)


def test_steps_are_whole_multiples():
    chain = StickChain(law(step_us=2.2))
    shown = np.array([chain.pulse_us(place) for place in PLACES.tolist()])
    assert shown / 2.2 == pytest.approx(np.rint(shown / 2.2))
    assert np.max(np.abs(shown - (1000 + 1000 * PLACES))) <= 1.1 + 1e-9


@pytest.mark.parametrize(
    "the_law",
    [
        law(expo=0.2, bow=0.03),
        law(expo=-0.1, bow=-0.01, dead_band=0.01, hysteresis=0.004),
        law(bow=0.02, low_us=1900.0, high_us=1100.0),
    ],
)
def test_the_three_linearities_are_those_of_linear_programming(the_law):
    found = closed(the_law)
    figures = loop_figures(found)
    x, y = PLACES, (found.up_us + found.down_us) / 2
    one, span = np.ones_like(x), abs(y[-1] - y[0])

    def width(columns, target) -> float:
        # min d with |target - columns·c| <= d
        free = columns.shape[1]
        solved = linprog(
            [*[0.0] * free, 1.0],
            A_ub=np.vstack([np.column_stack([columns, -one]), np.column_stack([-columns, -one])]),
            b_ub=np.concatenate([target, -target]),
            bounds=[(None, None)] * free + [(0, None)],
        )
        return 100 * solved.fun / span

    assert figures["independent_pct"] == pytest.approx(width(np.column_stack([one, x]), y), abs=2e-6)
    assert figures["zero_based_pct"] == pytest.approx(width(x[:, None] - x[0], y - y[0]), abs=2e-6)
    line = y[0] + (y[-1] - y[0]) * x
    assert figures["terminal_pct"] == pytest.approx(100 * np.max(np.abs(y - line)) / span, abs=1e-6)
    assert figures["independent_pct"] <= figures["zero_based_pct"] <= figures["terminal_pct"]


def test_a_bow_alone_has_linearities_known_on_paper():
    # y = x + b(1 - (2x-1)^2) of span 1: at most b above the line through the ends, half of it about the best line;
    # the line from the low end touches above at x and below at x = 1: 3 - 2·sqrt(2) times 4b, halved band included.
    figures = loop_figures(closed(law(bow=0.01)))
    assert figures["terminal_pct"] == pytest.approx(1.0, abs=1e-4)
    assert figures["independent_pct"] == pytest.approx(0.5, abs=1e-4)
    assert figures["zero_based_pct"] == pytest.approx(4 * (3 - 2 * math.sqrt(2)), abs=1e-4)


@pytest.mark.parametrize("radio", RADIOS.values(), ids=str)
def test_the_truth_of_a_radio_names_its_own_figures(radio):
    options = BenchOptions(radio=radio, motion=Motion.SWEEP)
    clock = switch_on(radio, number=1, offset=0.3, frame_base_ns=1_000_000)
    entry = sweep_entry(options, clock, None)
    own = radio.stick
    assert entry["step_us"] == own.step_us
    assert entry["output_play_pct"] == pytest.approx(100 * own.hysteresis)
    # The play of the stick is seen at the slope of the curve, which is about one span a travel.
    assert entry["fitted_hysteresis_pct"] == pytest.approx(100 * (own.hysteresis + own.dead_band), rel=0.05)
    assert 0 < entry["independent_pct"] < entry["terminal_pct"] < 3
    # Turning round takes up the play of the stick and that of the output, at the slope of the ends.
    assert 100 * own.dead_band < entry["dead_band_pct_of_input"] < 100 * (own.dead_band + 1.2 * own.hysteresis)
    assert not entry["clipped_low"]


def test_by_stops_the_truth_names_the_stops_and_what_they_show():
    options = BenchOptions(radio=ALDER, motion=Motion.STOPS, stops=even_places(5))
    entry = sweep_entry(options, switch_on(ALDER, number=1, offset=0.3, frame_base_ns=0), 12.0)
    assert entry["delay_ms"] == 12.0
    assert entry["against"] == "angle"
    assert entry["stops_deg"] == [-30.0, -15.0, 0.0, 15.0, 30.0]
    assert 0 < entry["stops"]["independent_pct"] <= entry["independent_pct"] + 0.02


def test_clipping_moves_the_ends_inward():
    entry = sweep_entry(
        BenchOptions(radio=ALDER, motion=Motion.SWEEP, clip=10.0, dead_band=0.0, hysteresis=0.0),
        switch_on(ALDER, number=1, offset=0.3, frame_base_ns=0),
        None,
    )
    assert entry["clipped_low"]
    assert entry["clipped_high"]
    assert entry["span_us"] == pytest.approx(802 * 0.8, rel=0.03)
    assert entry["terminal_pct"] < 1


@pytest.mark.parametrize("offset", [0.0, 0.1, 0.5, 0.9])
def test_a_locked_radio_s_sample_age_is_that_of_the_newest_scan_a_path_ago(offset):
    clock = switch_on(BIRCH, number=1, offset=offset, frame_base_ns=5_000_000)
    frame_ns = 5_000_000 + 100 * BIRCH.frame_ns
    scans = [clock.scan_base_ns + k * BIRCH.scan_ns for k in range(110)]
    newest = max(scan for scan in scans if scan + BIRCH.path_ns <= frame_ns)
    assert long_run_age_ms(BIRCH, clock) == pytest.approx((frame_ns - newest) / 1e6, abs=1e-6)


def test_an_unlocked_radio_s_sample_age_is_the_path_and_half_a_scan_on_average():
    clock = switch_on(ALDER, number=1, offset=0.2, frame_base_ns=0)
    scans = np.arange(20_000, dtype=np.int64) * ALDER.scan_ns + clock.scan_base_ns
    frames = np.arange(10, 8_000, dtype=np.int64) * ALDER.frame_ns
    newest = scans[np.searchsorted(scans, frames - ALDER.path_ns, side="right") - 1]
    assert long_run_age_ms(ALDER, clock) == pytest.approx(np.mean(frames - newest) / 1e6, abs=0.02)
