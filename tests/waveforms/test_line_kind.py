"""What a line is called, by the shares of its states."""

import numpy as np
import pytest

from benchapp.waveforms.line_kind import LineKind, line_kind
from tests.reduction.made_runs import edges, pulse_edges

MS = 1_000_000


def test_states_too_long_for_servo_pulses_are_of_another_kind():
    assert line_kind(edges(0, np.arange(200) * 5 * MS, np.arange(200) % 2)) is LineKind.OTHER


def test_stamps_that_all_tell_one_level_are_judged_by_it_alone():
    """A stream that lost every second edge still tells how long the states seem to last."""
    assert line_kind(edges(0, np.arange(60) * 2 * MS, np.ones(60))) is LineKind.SERVO
    assert line_kind(edges(0, np.arange(60) * 5 * MS, np.zeros(60))) is LineKind.OTHER


@pytest.mark.parametrize(("share", "kind"), [(0.45, LineKind.OTHER), (0.55, LineKind.SERVO)])
@pytest.mark.parametrize("spoilt_ms", [0.2, 2.9])
def test_a_servo_line_has_most_of_its_pulses_between_300_and_2700_us(share, kind, spoilt_ms):
    # The range of servo pulses: common practice, no source; 1.0 to 2.0 ms are usual, and travel set wide goes farther.
    durations = np.where(np.arange(100) < 100 * share, 1.5 * MS, spoilt_ms * MS).astype(np.int64)
    assert line_kind(pulse_edges(0, np.arange(100) * 20 * MS, durations)) is kind
