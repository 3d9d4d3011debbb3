"""Least squares against certified data sets and a worked calibration."""

from pathlib import Path

import numpy as np
import pytest
from scipy.stats import linregress

from benchapp.records.errors import NotEnoughData
from benchapp.reduction.sweep.straight_line import least_squares, parabola

DATA = Path(__file__).parent / "data"
# JCGM 100:2008 annex H.3, Table H.6, as quoted in the documentation and tests of MSLNZ/GTC (1c165fc): thermometer
# reading t and correction b, in °C; t0 = 20 °C.
THERMOMETER_T = np.array([21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511])
THERMOMETER_B = np.array([-171, -169, -166, -159, -164, -165, -156, -157, -159, -161, -160]) / 1000


def nist(name):
    return np.loadtxt(DATA / f"nist_{name}.csv", delimiter=",", skiprows=3, unpack=True)


def test_norris_to_the_digits_double_precision_allows():
    # NIST StRD, Norris: certified values.
    line = least_squares(*nist("norris"))
    assert line.n == 36
    assert line.slope == pytest.approx(1.00211681802045, rel=1e-13)
    assert line.intercept == pytest.approx(-0.262323073774029, rel=1e-11)
    assert line.slope_u == pytest.approx(0.429796848199937e-03, rel=1e-11)
    assert line.intercept_u == pytest.approx(0.232818234301152, rel=1e-11)
    assert line.residual_sd == pytest.approx(0.884796396144373, rel=1e-11)


def test_pontius_to_the_digits_double_precision_allows():
    # NIST StRD, Pontius (load cell, parabola): certified values.
    curve = parabola(*nist("pontius"))
    wanted = (0.673565789473684e-03, 0.732059160401003e-06, -0.316081871345029e-14)
    standard = (0.107938612033077e-03, 0.157817399981659e-09, 0.486652849992036e-16)
    assert curve.coefficients == pytest.approx(wanted, rel=1e-10)
    assert curve.standard == pytest.approx(standard, rel=1e-9)
    assert curve.residual_sd == pytest.approx(0.205177424076185e-03, rel=1e-9)


def test_the_thermometer_of_the_guide_in_full():
    # JCGM 100:2008, H.3.3 (clause number from memory): as quoted there, to the digits printed.
    line = least_squares(THERMOMETER_T - 20.0, THERMOMETER_B)
    assert round(line.intercept, 4) == -0.1712
    assert round(line.intercept_u, 4) == 0.0029
    assert round(line.slope, 5) == 0.00218
    assert round(line.slope_u, 5) == 0.00067
    assert round(line.correlation, 3) == -0.930
    assert line.dof == 9
    assert round(line.at(10.0), 4) == -0.1494


def test_a_line_whose_scatter_is_not_known_beforehand_is_the_standard_s():
    # ISO/TS 28037:2010, annex E, as quoted in the documentation of MSLNZ/GTC (1c165fc): to the digits printed there.
    line = least_squares([1, 2, 3, 4, 5, 6], [3.014, 5.225, 7.004, 9.061, 11.201, 12.762])
    assert round(line.intercept, 3) == 1.172
    assert round(line.intercept_u, 3) == 0.159
    assert round(line.slope, 3) == 1.964
    assert round(line.slope_u, 3) == 0.041
    assert round(line.correlation * line.slope_u * line.intercept_u, 3) == -0.006


def test_the_pressure_gauge_s_line_reads_backwards_as_published():
    # Course notebooks alexlib/engineering_experiments_measurements_course (ec6eb92), data Doebelin's (book attribution
    # from memory): slope 1.08, intercept -0.85; a reading of 4.32 stands for 4.79 kPa with the rounded line.
    rising = [-1.12, 0.21, 1.18, 2.09, 3.33, 4.50, 5.26, 6.59, 7.73, 8.68, 9.80]
    falling = [-0.69, 0.42, 1.65, 2.48, 3.62, 4.71, 5.87, 6.89, 7.92, 9.10, 10.20]
    line = least_squares([*range(11), *range(11)], [*rising, *falling])
    assert (round(line.slope, 2), round(line.intercept, 2)) == (1.08, -0.85)
    assert round((4.32 - round(line.intercept, 2)) / round(line.slope, 2), 2) == 4.79
    # The source divides by n: its variance 0.034 of the input is that of n - 2 brought to n = 22.
    assert round((line.residual_sd / line.slope) ** 2 * 20 / 22, 3) == 0.034


@pytest.mark.parametrize("seed", range(20))
def test_any_line_is_the_library_s(seed):
    rng = np.random.default_rng(seed)
    x = rng.uniform(-1e3, 1e3, 40) * 10.0 ** rng.integers(-3, 4)
    # As much noise as slope: the library takes its standard error from 1 - r², which must keep its digits.
    y = 5.0 * x + rng.normal(0, float(x.std()), 40) + 1e2
    line, wanted = least_squares(x, y), linregress(x, y)
    assert line.slope == pytest.approx(wanted.slope, rel=1e-9)
    assert line.intercept == pytest.approx(wanted.intercept, rel=1e-9)
    assert line.slope_u == pytest.approx(wanted.stderr, rel=1e-7)
    assert line.intercept_u == pytest.approx(wanted.intercept_stderr, rel=1e-7)


def test_two_points_have_a_line_and_no_uncertainty():
    line = least_squares([1.0, 2.0], [3.0, 5.0])
    assert (line.slope, line.intercept, line.slope_u, line.residual_sd) == (2.0, 1.0, None, None)


@pytest.mark.parametrize("x", [[], [1.0], [2.0, 2.0, 2.0]])
def test_one_position_is_no_line(x):
    with pytest.raises(NotEnoughData):
        least_squares(x, [1.0] * len(x))
    with pytest.raises(NotEnoughData):
        parabola(x, [1.0] * len(x))
