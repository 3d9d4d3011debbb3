"""About how long a run still lasts, from the rule that ends it first."""

import pytest

from benchapp.procedures.flips.stop_rules import minutes_left
from benchapp.records.run import RunSettings

S = 1_000_000_000


@pytest.mark.parametrize(
    ("seconds", "flips_left", "spacing_s", "minutes"),
    [
        (None, None, None, None),
        (None, 30, None, None),
        (None, None, 2.0, None),
        (None, 30, 2.0, 1.0),
        (300, None, None, 3.0),
        (300, 30, 2.0, 1.0),
        (300, 300, 2.0, 3.0),
        (60, 30, 2.0, 0.0),
    ],
)
def test_the_nearest_rule_tells_and_time_over_is_no_time(seconds, flips_left, spacing_s, minutes):
    spacing_ns = None if spacing_s is None else spacing_s * S
    told = minutes_left(
        RunSettings(seconds=seconds), flips_left, start_ns=10 * S, now_ns=130 * S, usual_spacing_ns=spacing_ns
    )
    assert told == (None if minutes is None else pytest.approx(minutes))
