"""Mean and standard deviation against the certified figures of NIST's reference sets."""

import math
from pathlib import Path

import numpy as np
import pytest
from scipy import stats

from benchapp.records.errors import NotEnoughData
from benchapp.reduction.ground.summary import mean, mean_half_width, mean_interval, standard_deviation

DATA = Path(__file__).parent / "data"


def digits(found: float | None, certified: float) -> float:
    """Return how many decimal digits agree: NIST's log relative error, at most 15."""
    assert found is not None
    return 15.0 if found == certified else min(15.0, -math.log10(abs(found - certified) / abs(certified)))


@pytest.mark.parametrize(
    ("name", "certified_mean", "certified_sd"),
    [
        # Certified values: NIST/ITL StRD, univariate summary statistics, itl.nist.gov/div898/strd/univ/homepage.html.
        ("lew", -177.435000000000, 277.332168044316),
        ("lottery", 518.958715596330, 291.699727470969),
        ("mavro", 2.00185600000000, 0.000429123454003053),
        ("michelso", 299.852400000000, 0.0790105478190518),
    ],
)
def test_measured_sets_agree_with_their_certified_values(name: str, certified_mean: float, certified_sd: float) -> None:
    values = np.array((DATA / f"nist_{name}.txt").read_text("utf-8").split("\n", 3)[3].split(), dtype=float)
    assert digits(mean(values), certified_mean) > 14.0
    assert digits(standard_deviation(values), certified_sd) > 12.5


@pytest.mark.parametrize(
    ("name", "values", "certified_mean", "certified_sd", "sd_digits"),
    [
        # NIST/ITL StRD NumAcc1 to 4, made by their published rule: one middle value, then low and high by turns.
        # The digits asked of the spread are those that the decimal values keep as binary numbers.
        ("NumAcc1", [10000001.0, 10000003.0, 10000002.0], 10000002.0, 1.0, 15.0),
        ("NumAcc2", [1.2, *[1.1, 1.3] * 500], 1.2, 0.1, 14.0),
        ("NumAcc3", [1000000.2, *[1000000.1, 1000000.3] * 500], 1000000.2, 0.1, 9.4),
        ("NumAcc4", [10000000.2, *[10000000.1, 10000000.3] * 500], 10000000.2, 0.1, 8.2),
    ],
)
def test_small_spreads_on_large_values_are_not_lost(
    name: str, values: list[float], certified_mean: float, certified_sd: float, sd_digits: float
) -> None:
    assert digits(mean(values), certified_mean) > 14.0, name
    assert digits(standard_deviation(values), certified_sd) >= sd_digits, name


def test_the_mean_s_interval_is_student_s() -> None:
    values = np.random.default_rng(5).normal(22.0, 6.5, 23)
    expected = stats.t.interval(0.95, 22, values.mean(), stats.sem(values))
    assert mean_interval(values) == pytest.approx(expected, rel=1e-10)
    half_width = mean_half_width(values)
    assert half_width == pytest.approx((expected[1] - expected[0]) / 2, rel=1e-10)


def test_one_value_has_a_mean_but_neither_spread_nor_interval() -> None:
    assert mean([4.0]) == 4.0
    assert standard_deviation([4.0]) is None
    assert mean_half_width([4.0]) is None
    assert mean_interval([4.0]) == (None, None)


def test_no_value_has_no_mean() -> None:
    assert standard_deviation([]) is None
    assert mean_interval([]) == (None, None)
    with pytest.raises(NotEnoughData, match="none came"):
        mean([])


def test_equal_values_have_no_spread_at_all() -> None:
    assert standard_deviation([0.1] * 7) == 0.0
