"""Sweeps of a made stick: what was put in comes out, over many seeds and through every odd input."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import linprog
from scipy.stats import t as student

from benchapp.presentation.ground.wording import note_sentence
from benchapp.presentation.sweep.sweep_verdict import sweep_verdict
from benchapp.records.errors import NotEnoughData, WrongInput
from benchapp.records.run import Origin, Outcome, Pause
from benchapp.records.stream import Gap, Levels
from benchapp.records.sweep_findings import SPEED_NOT_VARIED, TOO_FEW_STROKES
from benchapp.reduction.recipes import reduce_run
from benchapp.reduction.sweep.sweep_fit import SweepFit
from tests.reduction.made_sticks import MadeStick

SEEDS = range(12)
USUAL = {"noise_us": 0.06, "play_pct": 0.4, "hysteresis_us": 1.6, "expo": 0.05}
STICKS = {
    "straight": {"noise_us": 0.06},
    "lagging": {"noise_us": 0.06, "hysteresis_us": 4.8},
    "play": {"noise_us": 0.06, "play_pct": 0.6},
    "curved with play": {"noise_us": 0.06, "play_pct": 0.6, "expo": 0.3, "profile": "wobbly"},
    "bowed": {"noise_us": 0.06, "bow": 0.02, "hysteresis_us": 2.4, "profile": "eased"},
    "coarse": {"noise_us": 0.1, "step_us": 2.0, "hysteresis_us": 3.0},
    "reversed": {"noise_us": 0.06, "low_us": 1900.0, "high_us": 1100.0, "play_pct": 0.5},
    "slow frames": {"noise_us": 0.06, "frame_ms": 14.0, "delay_ms": 45.0, "play_pct": 0.3, "bow": -0.01},
}


def linearity(made: MadeStick, **changes):
    return reduce_run(made.run(**changes)).result


def with_samples(made: MadeStick, change):
    evidence = made.stick_evidence()
    times, values = change(evidence.levels.times_ns, evidence.levels.values)
    return replace(evidence, levels=Levels(lead=3, times_ns=times, values=values))


def truth(made: MadeStick) -> dict[str, float]:
    """Linearity of the made curve by linear programming, in % of its span; the ends are those of a closed loop."""
    u, half = np.linspace(0, 1, 201), made.play_pct / 200
    y = made.curve_us(u)
    y[0], y[-1] = made.curve_us(np.array([half, 1 - half]))
    percent = 100 / abs(y[-1] - y[0])
    one, zero = np.ones_like(u), np.zeros_like(u)
    rows = np.vstack([np.column_stack([u, one, -one]), np.column_stack([-u, -one, -one])])
    pinned = np.vstack([np.column_stack([u, zero, -one]), np.column_stack([-u, zero, -one])])
    free = [(None, None)] * 3
    off = y - y[0]
    return {
        "independent": percent * linprog([0, 0, 1], A_ub=rows, b_ub=np.append(y, -y), bounds=free).fun,
        "zero_based": percent * linprog([0, 0, 1], A_ub=pinned, b_ub=np.append(off, -off), bounds=free).fun,
        "terminal": percent * float(np.max(np.abs(off - u * off[-1]))),
        "hysteresis": percent
        * (made.hysteresis_us + half * 2 * float(np.max(np.abs(np.gradient(made.curve_us(u), u))))),
    }


@pytest.mark.parametrize("name", STICKS)
def test_what_was_put_into_a_stick_comes_out(name):
    for seed in SEEDS:
        made = MadeStick(seed=seed, **STICKS[name])
        found, known = linearity(made), truth(made)
        step_pct = 100 * made.step_us / abs(made.high_us - made.low_us)
        for line in ("independent", "zero_based", "terminal"):
            assert found.lines[line].deviation_pct == pytest.approx(known[line], abs=0.05 + step_pct), (line, seed)
        assert found.step_us == pytest.approx(made.step_us, rel=0.1)
        if found.delay_ms is None:
            assert found.told_apart_why_not == SPEED_NOT_VARIED
            assert found.hysteresis_pct is None
            continue
        assert found.delay_ms == pytest.approx(made.delay_ms, abs=1.0), seed
        assert found.hysteresis_pct == pytest.approx(known["hysteresis"], abs=0.1 + step_pct / 2), seed


def test_nearly_every_made_sweep_tells_delay_from_hysteresis():
    told = [linearity(MadeStick(seed=seed, **STICKS["lagging"])).delay_ms is not None for seed in range(30)]
    assert np.mean(told) > 0.9


@pytest.mark.parametrize("name", ["lagging", "curved with play", "bowed"])
def test_intervals_by_leaving_out_one_stroke_hold_the_truth_nine_times_in_ten(name):
    delay, height = [], []
    for seed in range(100, 160):
        made = MadeStick(seed=seed, **STICKS[name])
        found = linearity(made)
        if found.delay_ms is None:
            continue
        t = student.ppf(0.975, found.fit_dof)
        # Play of b lets up and down lie b·f' apart, which over the whole travel is b times the curve's rise on average.
        known = made.hysteresis_us + made.play_pct / 100 * (made.high_us - made.low_us)
        delay.append(abs(found.delay_ms - made.delay_ms) <= t * found.delay_u_ms)
        height.append(abs(found.fitted_hysteresis_us - known) <= t * found.fitted_hysteresis_u_us)
    assert len(delay) >= 50
    assert np.mean(delay) >= 0.9
    assert np.mean(height) >= 0.9


def test_strokes_alike_in_speed_give_neither_delay_nor_hysteresis():
    findings = reduce_run(MadeStick(spread=0.0, **USUAL).run())
    found = findings.result
    assert found.told_apart_why_not == SPEED_NOT_VARIED == "speed not varied"
    assert (found.delay_ms, found.delay_u_ms, found.fitted_hysteresis_pct, found.hysteresis_pct) == (None,) * 4
    assert found.dead_band_pct_of_input is None
    assert "speed-not-varied" in findings.notes
    assert found.lines["independent"].deviation_pct == pytest.approx(0.55, abs=0.1)


def test_taken_away_first_the_delay_would_swallow_the_hysteresis():
    found = linearity(MadeStick(hysteresis_us=4.8, noise_us=0.06))
    assert found.alone_ms - found.delay_ms > 10
    assert found.fitted_hysteresis_pct == pytest.approx(0.6, abs=0.05)


def test_one_cycle_gives_lines_but_neither_delay_nor_hysteresis():
    findings = reduce_run(MadeStick(cycles=1, **USUAL).run())
    assert "insufficient" in findings.flags
    assert "one-cycle-only" in findings.notes
    assert findings.result.told_apart_why_not == TOO_FEW_STROKES
    assert findings.result.delay_ms is None
    assert findings.result.lines["independent"].deviation_pct == pytest.approx(0.55, abs=0.1)


def test_three_cycles_are_enough_and_two_are_not():
    assert "insufficient" not in reduce_run(MadeStick(**USUAL).run()).flags
    assert "insufficient" in reduce_run(MadeStick(cycles=2, **USUAL).run()).flags


def test_a_stick_that_was_never_moved_is_said_to_be_so():
    made = MadeStick(**USUAL)
    still = with_samples(made, lambda t, v: (t, np.full_like(v, 500)))
    findings = reduce_run(made.run(stick=still))
    assert findings.notes == ("stick-never-moved",)
    assert findings.result.lines == {}


@pytest.mark.parametrize("share", [0.15, 0.4, 0.7])
def test_a_sweep_stopped_in_its_first_stroke_does_not_blame_the_output(share):
    made = MadeStick(**USUAL)
    begun = made.run()
    stopped_ns = round((made.rest_s + share * made.stroke_s) * 1e9)
    findings = reduce_run(replace(begun, stop_ns=stopped_ns, outcome=Outcome.CUT_SHORT))
    assert findings.notes == ("stopped-before-first-sweep",)
    assert findings.result.lines == {}
    assert "the run was stopped before the first sweep was done" in sweep_verdict(findings, findings.result)
    assert "follow" not in note_sentence(findings.notes[0])


def test_an_output_that_does_not_follow_is_said_to_be_so():
    class Deaf(MadeStick):
        def asked_us(self, seconds):
            return np.full(seconds.size, 1500.0)

    assert reduce_run(Deaf(**USUAL).run()).notes == ("output-did-not-follow",)


@pytest.mark.parametrize("way", ["uneven", "missing", "only changes", "quiet, only changes", "spikes"])
def test_samples_however_they_come_give_the_same_figures(way):
    made = MadeStick(lead_noise_lsb=0.0 if way.startswith("quiet") else 0.3, **USUAL)
    rng = np.random.default_rng(3)

    def change(times, values):
        keep = np.ones(times.size, bool)
        if way == "uneven":
            keep = rng.random(times.size) < 0.3
        elif way == "missing":
            for first in (2000, 9000, 20000):
                keep[first : first + 400] = False
        elif way == "spikes":
            values = values.copy()
            values[rng.integers(0, times.size, 200)] = 1023
        else:
            keep = np.append(True, np.diff(values.astype(int)) != 0)
        return times[keep], values[keep]

    found, known = linearity(made, stick=with_samples(made, change)), truth(made)
    assert found.delay_ms == pytest.approx(made.delay_ms, abs=1.0)
    assert found.hysteresis_pct == pytest.approx(known["hysteresis"], abs=0.13)
    for line in ("independent", "zero_based", "terminal"):
        assert found.lines[line].deviation_pct == pytest.approx(known[line], abs=0.1)


def test_a_gap_of_the_stick_s_lead_is_flagged_and_not_bridged():
    made = MadeStick(**USUAL)
    gap = Gap(leads=(3,), from_ns=2_000_000_000, to_ns=2_600_000_000, cause="lost")
    wrong = with_samples(made, lambda t, v: (t, np.where((t > 2.0e9) & (t < 2.6e9), 200, v).astype(np.uint16)))
    findings = reduce_run(made.run(stick=replace(wrong, gaps=(gap,))))
    assert "probe-gap" in findings.flags
    assert findings.result.delay_ms == pytest.approx(made.delay_ms, abs=1.0)
    assert findings.result.lines["independent"].deviation_pct == pytest.approx(truth(made)["independent"], abs=0.1)


def test_what_happens_in_a_pause_does_not_count():
    made = MadeStick(**USUAL)
    wrong = with_samples(made, lambda t, v: (t, np.where((t > 2.0e9) & (t < 2.6e9), 200, v).astype(np.uint16)))
    paused = made.run(stick=wrong, pauses=(Pause(from_ns=1_990_000_000, to_ns=2_610_000_000, reason="by-hand"),))
    assert reduce_run(paused).result.delay_ms == pytest.approx(made.delay_ms, abs=1.0)


@pytest.mark.parametrize("change", [{"low_us": 1900.0, "high_us": 1100.0}, {"low_v": 2.9, "high_v": 0.4}])
def test_a_reversed_channel_and_swapped_ends_have_the_same_figures(change):
    findings = reduce_run(MadeStick(**USUAL | change).run())
    found = findings.result
    assert "reversed" in findings.notes
    assert found.least_squares.slope < 0
    assert found.fitted_hysteresis_pct == pytest.approx(0.6, abs=0.05)
    assert found.lines["terminal"].deviation_pct == pytest.approx(0.82, abs=0.1)


def test_a_sweep_may_begin_at_the_high_end():
    found = linearity(MadeStick(starts_high=True, **USUAL))
    assert (found.cycles, found.lines["terminal"].deviation_pct) == (3, pytest.approx(0.82, abs=0.1))


def test_a_lead_at_its_rail_is_said_and_the_rest_of_the_travel_is_right():
    findings = reduce_run(MadeStick(noise_us=0.06, high_v=3.6, hysteresis_us=2.0).run())
    found = findings.result
    assert "stick-lead-at-rail-high" in findings.notes
    assert (found.railed_low, found.railed_high, found.rested_high) == (False, True, False)
    assert found.high_x == pytest.approx(3.3 * 0.99, abs=0.03)
    assert found.high_us == pytest.approx(1100 + 800 * (found.high_x - 0.4) / 3.2, abs=1.5)
    assert found.lines["independent"].deviation_pct < 0.2
    assert found.centre_us is None


def test_a_lead_that_rests_exactly_at_its_end_is_not_at_a_rail():
    findings = reduce_run(MadeStick(low_v=0.0, high_v=3.3, **USUAL).run())
    assert not findings.result.railed_high
    assert findings.notes == ()


def test_clipping_is_reported_and_span_and_ends_are_those_of_the_unclipped_stretch():
    found = linearity(MadeStick(noise_us=0.06, hysteresis_us=2.0, clip_us=(1140.0, 1860.0)))
    assert (found.clipped_low, found.clipped_high) == (True, True)
    assert found.span_us == pytest.approx(720, abs=1)
    assert found.span_x == pytest.approx(2.5 * 0.9, abs=0.01)
    assert found.travel_x == pytest.approx(2.5, abs=0.01)
    assert found.lines["independent"].deviation_pct < 0.13
    one_end = linearity(MadeStick(noise_us=0.06, clip_us=(1000.0, 1860.0)))
    assert (one_end.clipped_low, one_end.clipped_high) == (False, True)


def test_an_unclipped_curve_that_flattens_towards_its_ends_is_not_called_clipped():
    for seed in range(5):
        found = linearity(MadeStick(expo=-0.45, noise_us=0.06, hysteresis_us=2.0, seed=seed))
        assert (found.clipped_low, found.clipped_high) == (False, False)


def test_a_flat_round_the_centre_and_play_are_told_apart():
    flat = linearity(MadeStick(flat_pct=1.1, noise_us=0.06))
    assert flat.centre_flat_pct_of_input == pytest.approx(1.1, abs=0.12)
    assert flat.dead_band_pct_of_input == pytest.approx(0.0, abs=0.07)
    play = linearity(MadeStick(play_pct=1.1, noise_us=0.06))
    assert play.dead_band_pct_of_input == pytest.approx(1.1, abs=0.07)
    assert play.centre_flat_pct_of_input == pytest.approx(0.0, abs=0.12)


def test_new_values_come_at_the_link_s_refresh_not_at_the_frame():
    assert linearity(MadeStick(noise_us=0.06, frame_ms=3.0, repeat=3)).refresh_ms == pytest.approx(9.0, rel=1e-3)
    assert linearity(MadeStick(noise_us=0.06)).refresh_ms == pytest.approx(9.0, rel=1e-3)


def test_a_sweep_too_slow_to_tell_has_no_refresh():
    assert linearity(MadeStick(noise_us=0.06, frame_ms=3.0, step_us=1.0, stroke_s=8.0)).refresh_ms is None


def test_both_units_and_the_centre_belong_to_one_curve():
    found = linearity(MadeStick(bow=0.02, noise_us=0.06))
    for line in found.lines.values():
        assert line.deviation_pct == pytest.approx(100 * abs(line.deviation_us) / found.span_us)
    # A parabola that lifts the middle by 2 % of 800 µs: 1516 µs there, the lower half 32 µs longer than the upper.
    assert found.centre_offset_us == pytest.approx(16, abs=0.5)
    assert found.symmetry_us == pytest.approx(-32, abs=1)
    assert found.bow_us == pytest.approx(16, abs=0.5)
    curve = found.curve
    assert (found.positions, curve.x.size) == (51, 51)
    line = found.lines["independent"]
    off = curve.mean_us - line.intercept_us - line.slope * curve.x
    assert curve.mean_off_us == pytest.approx(off)
    assert np.max(off) == pytest.approx(line.deviation_us)
    assert np.min(off) == pytest.approx(-line.deviation_us)


def test_hysteresis_is_resolved_from_3_7_uncertainties_of_a_difference():
    for height in (0.0, 0.4, 0.8, 8.0):
        found = linearity(MadeStick(noise_us=0.3, hysteresis_us=height))
        assert found.hysteresis_resolved is (found.hysteresis_us >= 3.7 * found.difference_u_us)
    assert found.hysteresis_resolved is True


def test_a_curve_that_goes_back_is_not_monotonic():
    assert linearity(MadeStick(bow=0.4, noise_us=0.06)).monotonic is False
    assert linearity(MadeStick(**USUAL)).monotonic is True


def test_the_level_lead_s_own_non_linearity_does_not_average_out():
    found = linearity(MadeStick(**USUAL))
    # Half a step of 3.3 V / 1023, anywhere within: a/√3 (JCGM 100:2008, 4.3.7, from memory), of 2.5 V.
    (lead,) = [line for line in found.uncertainty if line.source == "level lead"]
    assert lead.standard_pct == pytest.approx(100 * 0.5 * 3.3 / 1023 / 3**0.5 / 2.5, rel=0.01)
    assert found.expanded_uncertainty_pct >= 2 * lead.standard_pct
    sources = {line.source for line in found.uncertainty}
    assert sources == {"level lead", "strokes", "output step", "bend within a reading"}


def test_dots_and_values_are_there_to_be_drawn():
    found = linearity(MadeStick(**USUAL))
    assert found.values.counts.sum() > 3000
    assert np.all(np.diff(found.values.us) > 0)
    assert np.allclose(np.diff(found.values.us) / 0.5, np.rint(np.diff(found.values.us) / 0.5), atol=1e-3)
    assert found.close_up.x.size == found.close_up.us.size == found.close_up.rising.size > 30
    assert [stroke.rising for stroke in found.strokes] == [True, False] * 3
    assert all(stroke.whole and stroke.pulses > 200 for stroke in found.strokes)


def test_strays_are_left_out_and_counted():
    class Struck(MadeStick):
        def durations(self):
            leading, durations = super().durations()
            durations[np.linspace(300, durations.size - 300, 20).astype(int)] = 1_500_000
            return leading, durations

    findings = reduce_run(Struck(**USUAL).run())
    (note,) = [note for note in findings.notes if note.startswith("strays")]
    assert 8 <= int(note.split(": ")[1]) <= 20
    assert findings.result.delay_ms == pytest.approx(18.0, abs=1.0)
    assert findings.result.lines["independent"].deviation_pct == pytest.approx(0.55, abs=0.1)


def test_strays_that_come_in_pairs_are_found_by_the_curve():
    class Held(MadeStick):
        def durations(self):
            leading, durations = super().durations()
            for first in np.linspace(400, durations.size - 400, 12).astype(int):
                durations[first : first + 2] = 1_300_000
            return leading, durations

    findings = reduce_run(Held(**USUAL).run())
    assert any(note.startswith("strays") for note in findings.notes)
    assert findings.result.delay_ms == pytest.approx(18.0, abs=1.0)


@pytest.mark.parametrize("change", [{"spread": 0.14}, {"delay_u_s": 0.00051}, {"strokes": 3}])
def test_delay_and_hysteresis_are_facts_only_within_every_limit(change):
    fit = SweepFit(
        delay_s=0.018,
        delay_u_s=0.0005,
        hysteresis_us=2.0,
        hysteresis_u_us=0.1,
        shape_us=0.0,
        alone_s=0.03,
        knots_us=np.linspace(1100, 1900, 51),
        spread=0.15,
        sd_us=0.2,
        strokes=4,
    )
    assert fit.told_apart
    assert not replace(fit, **change).told_apart


def test_what_is_missing_is_named():
    made = MadeStick(**USUAL)
    run = made.run()
    with pytest.raises(NotEnoughData, match="output"):
        reduce_run(replace(run, leads={"stick": run.leads["stick"]}))
    with pytest.raises(NotEnoughData, match="stick"):
        reduce_run(replace(run, leads={"output": run.leads["output"]}))
    nothing = with_samples(made, lambda t, v: (t[:0], v[:0]))
    assert reduce_run(made.run(stick=nothing)).notes == ("no-stick-samples",)


def test_practice_evidence_is_flagged_so():
    assert "practice" in reduce_run(MadeStick(**USUAL).run(origin=Origin.PRACTICE)).flags


def test_a_level_lead_that_states_no_bend_is_taken_at_half_a_step():
    """Half a count, as the data sheet of the ATmega328P has it (integral non-linearity, typical)."""
    made = MadeStick(seed=3, **USUAL)

    def share_of(stated_lsb: float | None) -> float:
        evidence = made.stick_evidence()
        told = replace(evidence, lead=replace(evidence.lead, nonlinearity_lsb=stated_lsb))
        (line,) = (o for o in linearity(made, stick=told).uncertainty if o.source == "level lead")
        return line.standard_pct

    step_pct = 100 * made.full_scale_v / (2**made.bits - 1) / (made.high_v - made.low_v)
    assert share_of(None) == pytest.approx(0.5 * step_pct / 3**0.5, rel=0.02)
    assert share_of(0.5) == share_of(None)
    assert share_of(1.0) == pytest.approx(2 * share_of(None))


def test_a_sweep_that_lasts_for_days_is_asked_about_its_time_axis():
    """A time axis in the wrong unit: every stamp ten thousand times as far as it was."""
    evidence = MadeStick(seed=1, noise_us=0.06).run()
    days = replace(evidence, stop_ns=evidence.start_ns + 10_000 * (evidence.stop_ns - evidence.start_ns))
    with pytest.raises(WrongInput, match=r"lasts [0-9]+ hours; a sweep lasts up to 12\. .*another unit"):
        reduce_run(days)
