"""The curve of a sweep as it grows against its line."""

from dataclasses import replace

import numpy as np
import pytest

from benchapp.presentation.live.sweep_curve import sweep_curve
from tests.presentation.stick_builders import sweep


@pytest.fixture(scope="module")
def found():
    return sweep().result


def test_the_curve_and_its_line_are_those_of_the_findings(found):
    shown = sweep_curve(found)
    known = np.isfinite(found.curve.up_us)
    assert len(shown.up) == np.count_nonzero(known)
    assert (shown.up[0][0], shown.up[-1][0]) == (0.0, 1.0)
    low, high = (share for share, _ in (shown.ticks[0], shown.ticks[-1]))
    assert (low, high) == (0.0, 1.0)
    first_us, last_us = (float(words.split("\u00a0")[0]) for _, words in (shown.ticks[0], shown.ticks[-1]))
    straight = found.lines["independent"]
    for x, (at, share) in zip((found.curve.x[0], found.curve.x[-1]), shown.line, strict=True):
        assert at in (0.0, 1.0)
        wanted = (straight.intercept_us + straight.slope * x - first_us) / (last_us - first_us)
        assert share == pytest.approx(min(max(wanted, 0.0), 1.0))
    assert all(0.0 <= place <= 1.0 for way in (shown.up, shown.down) for point in way for place in point)


def test_there_is_no_curve_before_there_is_one_and_no_line_before_that(found):
    assert sweep_curve(None) is None
    assert sweep_curve(replace(found, curve=None)) is None
    assert sweep_curve(replace(found, lines={})).line == ()
