"""Lines with the least largest deviation, against published cycles and linear programming."""

import numpy as np
import pytest
from scipy.optimize import linprog

from benchapp.records.errors import NotEnoughData
from benchapp.reduction.sweep.closest_line import independent_line, terminal_line, zero_based_line

# Force transducer, one rising and one falling cycle: data and answers of the open test suite of
# jchristopherson/curvefit (3ce9582), whose definitions cite Wheeler and Ganji, Introduction to Engineering
# Experimentation, 3rd ed. Load against output in mV/V.
LOADS = np.array([0, 100, 200, 300, 400, 500, 400, 300, 200, 100, 0], float)
OUTPUTS = np.array([0, 0.55983, 1.11975, 1.67982, 2.24005, 2.80039, 2.24023, 1.68021, 1.12026, 0.56021, 0.00006])
# Pressure gauge, rising and falling: course notebooks alexlib/engineering_experiments_measurements_course (ec6eb92);
# the data are Doebelin's (book attribution from memory).
PRESSURES = np.arange(11, dtype=float)
RISING = np.array([-1.12, 0.21, 1.18, 2.09, 3.33, 4.50, 5.26, 6.59, 7.73, 8.68, 9.80])
FALLING = np.array([-0.69, 0.42, 1.65, 2.48, 3.62, 4.71, 5.87, 6.89, 7.92, 9.10, 10.20])


def least_largest(x, y, *, through=None):
    """Return the least largest deviation by linear programming: minimise e with |y - a - b x| <= e for every point."""
    one = np.ones_like(x)
    rows = np.concatenate([np.column_stack([one, x, -one]), np.column_stack([-one, -x, -one])])
    fixed = {} if through is None else {"A_eq": [[1.0, through[0], 0.0]], "b_eq": [through[1]]}
    bounds = [(None, None), (None, None), (0, None)]
    found = linprog([0, 0, 1], A_ub=rows, b_ub=np.concatenate([y, -y]), bounds=bounds, method="highs", **fixed)
    return found.fun


def test_the_force_transducer_s_zero_based_band_is_the_published_one():
    # Published there: 0.0104 % of full scale about a line that gives 2.80010 mV/V at full scale, whole loop.
    line = zero_based_line(LOADS, OUTPUTS - np.where(LOADS == 0, OUTPUTS, 0.0))
    at_full_scale = line.slope * 500
    assert round(at_full_scale, 4) == 2.8001
    assert round(100 * line.deviation / at_full_scale, 4) == 0.0104


def test_the_force_transducer_s_terminal_deviation_is_the_published_one():
    # Published there: -0.073918276 load units from the line through zero and full scale (rising run).
    line = terminal_line(LOADS[:6], OUTPUTS[:6])
    assert line.deviation / line.slope == pytest.approx(-0.073918276, abs=1e-4)


def test_the_pressure_gauge_s_lines_are_those_found_by_other_means():
    # Averaged curve; found by linear programming and by trying every three points (own figures, unpublished).
    average = (RISING + FALLING) / 2
    span = average[-1] - average[0]
    assert 100 * terminal_line(PRESSURES, average).deviation / span == pytest.approx(1.27464466, abs=1e-6)
    assert 100 * independent_line(PRESSURES, average).deviation / span == pytest.approx(0.93133884, abs=1e-6)
    assert 100 * zero_based_line(PRESSURES, average).deviation / span == pytest.approx(1.12333792, abs=1e-6)
    line = independent_line(PRESSURES, average)
    assert (line.intercept, line.slope) == pytest.approx((-0.8328125, 1.073125))


@pytest.mark.parametrize("seed", range(60))
def test_free_and_held_lines_are_as_good_as_linear_programming_s(seed):
    rng = np.random.default_rng(seed)
    count = int(rng.integers(2, 60))
    x = np.unique(rng.uniform(0, 5, count)) if seed % 3 else np.arange(count, dtype=float)
    y = 800 * x + rng.normal(0, rng.choice([0.0, 1.0, 300.0]), x.size) + 1100
    assert x.size >= 2
    free, held = independent_line(x, y), zero_based_line(x, y)
    assert free.deviation == pytest.approx(least_largest(x, y), rel=1e-7, abs=1e-6)
    assert held.deviation == pytest.approx(least_largest(x, y, through=(x[0], y[0])), rel=1e-7, abs=1e-6)
    assert float(np.max(np.abs(y - free.intercept - free.slope * x))) == pytest.approx(free.deviation, abs=1e-6)
    assert float(np.max(np.abs(y - held.intercept - held.slope * x))) == pytest.approx(held.deviation, abs=1e-6)
    # Independent is never above zero-based, terminal never below it (definitions of IEC 61298-2 usage).
    assert free.deviation <= held.deviation + 1e-9
    assert abs(terminal_line(x, y).deviation) >= held.deviation - 1e-9


@pytest.mark.parametrize("line", [independent_line, zero_based_line, terminal_line])
def test_one_position_is_no_line(line):
    with pytest.raises(NotEnoughData):
        line([1.0, 1.0], [2.0, 3.0])
