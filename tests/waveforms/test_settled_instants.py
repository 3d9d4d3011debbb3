"""When a horn's volts pass half-way, between two instants at which they stood still."""

import numpy as np
import pytest

from benchapp.waveforms.volts import settled_instant_ns

MS = 1_000_000
TIMES = np.arange(0, 1000) * MS


def moved(*, from_v: float, to_v: float, swing_v: float = 0.0):
    """Return a millisecond's samples of a move from 300 to 400 ms, with every sample off by the swing, up and down."""
    straight = np.interp(TIMES, [300 * MS, 400 * MS], [from_v, to_v])
    return straight + swing_v * np.where(np.arange(TIMES.size) % 2, 1.0, -1.0)


@pytest.mark.parametrize(("from_v", "to_v"), [(1.0, 3.0), (3.0, 1.0)])
def test_a_straight_move_passes_half_way_in_its_middle(from_v, to_v):
    # The mid-reference level lies half-way between the state levels (IEEE Std 181 usage).
    found = settled_instant_ns(TIMES, moved(from_v=from_v, to_v=to_v), from_ns=250 * MS, to_ns=800 * MS)
    assert found == pytest.approx(350 * MS, abs=2)


@pytest.mark.parametrize(("noises", "told"), [(7.0, False), (9.0, True)])
def test_a_move_is_told_from_eight_times_the_noise_of_its_levels_on(noises, told):
    # Samples that are off by 10 mV either way have a standard deviation of 10 mV; two levels together 14.1 mV.
    to_v = 1.0 + noises * np.hypot(0.01, 0.01)
    found = settled_instant_ns(TIMES, moved(from_v=1.0, to_v=to_v, swing_v=0.01), from_ns=250 * MS, to_ns=800 * MS)
    assert (found is not None) is told


def test_nothing_is_told_of_a_line_that_stood_still_or_had_moved_before_or_has_too_few_samples():
    still, move = np.full(TIMES.size, 2.0), moved(from_v=1.0, to_v=3.0)
    assert settled_instant_ns(TIMES, still, from_ns=250 * MS, to_ns=800 * MS) is None
    assert settled_instant_ns(TIMES, move, from_ns=395 * MS, to_ns=800 * MS) is None
    assert settled_instant_ns(TIMES, move, from_ns=2 * MS, to_ns=800 * MS) is None
    assert settled_instant_ns(TIMES, move, from_ns=3 * MS, to_ns=800 * MS) is not None
