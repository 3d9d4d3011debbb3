"""Figures of a curve against published cycles, and the readings of a sweep by stops."""

from dataclasses import replace

import numpy as np
import pytest

from benchapp.records.run import RunSettings, Stop
from benchapp.reduction.recipes import reduce_run
from benchapp.reduction.sweep.linearity import figures
from benchapp.reduction.sweep.stops import stop_curve, stop_readings
from benchapp.reduction.sweep.transfer_curve import curve_of_readings
from tests.reduction.made_runs import pulse_edges
from tests.reduction.made_sticks import MadeStick

# Static calibration of a pressure gauge, rising and falling: course notebooks alexlib/
# engineering_experiments_measurements_course (ec6eb92); the data are Doebelin's (book attribution from memory).
PRESSURES = np.arange(11, dtype=float)
RISING = np.array([-1.12, 0.21, 1.18, 2.09, 3.33, 4.50, 5.26, 6.59, 7.73, 8.68, 9.80])
FALLING = np.array([-0.69, 0.42, 1.65, 2.48, 3.62, 4.71, 5.87, 6.89, 7.92, 9.10, 10.20])
# Force transducer, open test suite of jchristopherson/curvefit (3ce9582), which cites Wheeler and Ganji, Introduction
# to Engineering Experimentation, 3rd ed.: load against mV/V, one cycle, and three successive rising runs.
LOADS = [0, 100, 200, 300, 400, 500, 400, 300, 200, 100, 0]
OUTPUTS = [0, 0.55983, 1.11975, 1.67982, 2.24005, 2.80039, 2.24023, 1.68021, 1.12026, 0.56021, 0.00006]
RUN_LOADS = np.array([0, 100, 300, 600, 900, 1200, 1500, 1800, 2100, 2400, 2700, 3000, 3400], float)
RUNS = np.array(
    [
        [0, 0.03654, 0.10961, 0.2192, 0.32883, 0.43845, 0.5481, 0.65775, 0.76743, 0.87711, 0.9868, 1.09646, 1.2427],
        [0, 0.03655, 0.10965, 0.21925, 0.32888, 0.43852, 0.54818, 0.65784, 0.76752, 0.8772, 0.98689, 1.09656, 1.24281],
        [0, 0.03655, 0.10961, 0.21921, 0.32884, 0.43847, 0.54813, 0.65779, 0.76746, 0.87713, 0.98682, 1.09648, 1.24274],
    ]
)


def stopped(positions, values, *, count=10):
    """Return stops a second apart with `count` pulses in each, and the pulses."""
    stops, leading, us = [], [], []
    for number, (position, value) in enumerate(zip(positions, values, strict=True)):
        begin = number * 1_000_000_000
        stops.append(Stop(position_deg=float(position), from_ns=begin, to_ns=begin + 500_000_000))
        leading += [begin + 20_000_000 * (i + 1) for i in range(count)]
        us += [float(value)] * count
    return tuple(stops), np.array(leading, np.int64), np.array(us)


def test_the_pressure_gauge_s_hysteresis_and_lines_in_per_cent_of_span():
    curve = curve_of_readings(PRESSURES, np.array([RISING, FALLING]), np.array([1.0, -1.0]))
    found = figures(curve, step_us=None)
    # 0.61 at 6 kPa follows from the published table; the percentages were found beside it by linear programming.
    assert found.hysteresis.us == pytest.approx(0.61)
    assert found.hysteresis.at_x == 6
    assert found.span_us == pytest.approx(10.905)
    percent = {name: line.deviation_pct for name, line in found.lines.items()}
    assert percent["independent"] == pytest.approx(0.93133883539661)
    assert percent["terminal"] == pytest.approx(1.27464465841357)
    assert percent["zero_based"] == pytest.approx(1.12333791838606)
    # Slope 1.08 and intercept -0.85 are printed for all 22 readings; the averages of pairs have the same line.
    assert found.least_squares.slope == pytest.approx(1.082318181818182)
    assert found.least_squares.intercept_us == pytest.approx(-0.8470454545454551)
    assert found.hysteresis.resolved is None
    assert found.repeatability is None


def test_the_force_transducer_s_hysteresis_by_stops_is_the_published_one():
    stops, leading, us = stopped(LOADS, np.array(OUTPUTS) * 1000)
    readings = stop_readings(stops, leading, us)
    curve = stop_curve(readings)
    assert readings.cycles == 1
    # Published: 0.091063467 load units at a gain of 178.5465596 a mV/V, so 0.00051 mV/V; at a load of 200.
    assert figures(curve, step_us=None).hysteresis.us / 1000 * 178.5465596 == pytest.approx(0.091063467, abs=1e-4)
    # Published: the return to zero, 0.010713349 load units.
    zero = (curve.down_us[0] - curve.up_us[0]) / 1000
    assert zero * 178.5465596 == pytest.approx(0.010713349, abs=1e-4)


def test_the_force_transducer_s_repeatability_is_the_published_one():
    curve = curve_of_readings(RUN_LOADS, RUNS, np.ones(3))
    # Published: 0.30096351 load units with a gain of 2736.031907.
    assert figures(curve, step_us=None).spread.us * 2736.031907 == pytest.approx(0.30096351, abs=1e-6)


def test_an_end_point_line_has_the_published_deviations():
    # Kessel, Kacker and Sommer, Measurement 45 (2012) 1661, Table 4: reference pressure less b times the reading.
    readings = np.array([0, 0.2039, 0.4080, 0.6120, 0.8160, 1.0201, 1.2242, 1.4283, 1.6325, 1.8367, 2.0410])
    differences = [0, 0.00196, 0.00196, 0.00294, 0.00392, 0.0039, 0.0039, 0.0039, 0.0029, 0.0020, 0]
    curve = curve_of_readings(readings, np.array([np.arange(0.0, 21.0, 2.0)]), np.ones(1))
    terminal = figures(curve, step_us=None).lines["terminal"]
    assert terminal.slope == pytest.approx(9.799118079, rel=1e-9)
    off = np.arange(0.0, 21.0, 2.0) - terminal.intercept_us - terminal.slope * readings
    assert off == pytest.approx(differences, abs=6e-5)
    assert terminal.deviation_us == pytest.approx(0.0039, abs=5e-5)


@pytest.mark.parametrize(("apart", "resolved"), [(1.0, False), (20.0, True)])
def test_a_difference_within_the_strokes_own_scatter_is_not_resolved(apart, resolved):
    x = np.linspace(0, 1, 5)
    rows = np.array([1000 * x + off for off in (-2, 0, 2, apart - 2, apart, apart + 2)])
    curve = curve_of_readings(x, rows, np.array([1.0, 1.0, 1.0, -1.0, -1.0, -1.0]))
    # Strokes scatter with an SD of 2 µs, three a direction.
    assert curve.difference_u_us == pytest.approx(2 * (2 / 3) ** 0.5)
    assert figures(curve, step_us=None).hysteresis.resolved is resolved


def test_stops_belong_to_the_way_they_were_reached():
    stops, leading, us = stopped([0, 1, 2, 2, 1, 0, 1], [10, 20, 30, 31, 21, 11, 19])
    readings = stop_readings(stops, leading, us)
    assert readings.way.tolist() == [1, 1, 1, -1, -1, -1, 1]
    curve = stop_curve(readings)
    assert curve.up_us.tolist() == [10, 19.5, 30]
    assert curve.down_us.tolist() == [11, 21, 31]


def test_a_stop_without_pulses_is_left_out():
    stops, leading, us = stopped([0, 1, 2], [10, 20, 30])
    keep = (leading < 1_000_000_000) | (leading > 2_000_000_000)
    assert stop_readings(stops, leading[keep], us[keep]).x.tolist() == [0, 2]


def by_stops(*, cycles=3, places=11, lag_us=4.0, drop=()):
    """Return the findings of a made sweep by stops over ± 30°, whose falling readings lie lag_us higher."""
    up = np.linspace(-30, 30, places)
    positions = [up[0], *(list(up[1:]) + list(up[-2::-1])) * cycles]
    ways = [1, *([1] * (places - 1) + [-1] * (places - 1)) * cycles]
    bent = [
        1500 + 400 * p / 30 + 8 * (1 - (p / 30) ** 2) + (lag_us / 2 if w < 0 else -lag_us / 2)
        for p, w in zip(positions, ways, strict=True)
    ]
    stops, leading, us = stopped(positions, np.round(bent, 3))
    made = MadeStick()
    run = made.run(stops=tuple(s for i, s in enumerate(stops) if i not in drop), stop_ns=len(stops) * 1_000_000_000)
    output = run.leads["output"]
    edges = pulse_edges(1, leading, np.rint(us * 1000).astype(np.int64))
    leads = {"output": replace(output, edges=edges, lead=replace(output.lead, resolution_ns=1.0))}
    return reduce_run(replace(run, leads=leads))


def test_a_sweep_by_stops_is_against_the_angle_and_has_no_delay():
    findings = by_stops()
    found = findings.result
    assert (found.against, found.x_unit, found.cycles, found.positions) == ("angle", "°", 3, 11)
    assert (found.delay_ms, found.fitted_hysteresis_pct, found.told_apart_why_not) == (None, None, "by stops")
    assert found.hysteresis_us == pytest.approx(4.0, abs=1e-6)
    assert found.lines["terminal"].deviation_us == pytest.approx(8.0, abs=2.1)
    assert found.span_x == 60
    # ± 0.5°, anywhere within, of 60° (JCGM 100:2008, 4.3.7; clause number from memory), with the weight of eleven marks
    # that are each off alone.
    (typed,) = [line for line in found.uncertainty if line.source == "typed positions"]
    assert typed.standard_pct == pytest.approx(1.02 * 100 * 0.5 / 3**0.5 / 60)
    assert typed.terminal_pct == pytest.approx(1.76 * 100 * 0.5 / 3**0.5 / 60)
    assert findings.flags == ()


def test_fewer_than_five_stops_or_three_cycles_are_said():
    assert "too-few-positions" in by_stops(places=3).notes
    one = by_stops(cycles=1)
    assert "one-cycle-only" in one.notes
    assert "insufficient" in one.flags


@pytest.mark.parametrize("lead_on_the_stick", [True, False])
def test_a_sweep_by_stops_that_was_stopped_before_the_first_one_says_so(lead_on_the_stick):
    run = MadeStick(seed=3).run(settings=RunSettings(stops_deg=(-30.0, -15.0, 0.0, 15.0, 30.0)))
    if not lead_on_the_stick:
        run = replace(run, leads={"output": run.leads["output"]})
    findings = reduce_run(run)
    assert findings.notes == ("too-few-positions",)
    assert (findings.result.against, findings.result.positions) == ("angle", 0)
    assert findings.result.span_us is None
