"""Tracks of the stick over a very long time: never a point every 10 ms of days, and no turn that reads the whole."""

import tracemalloc

import numpy as np
import pytest

from benchapp.waveforms.stick_track import LONGEST_TRACK_NS, stick_track
from benchapp.waveforms.strokes import _plateau

MS, H = 1_000_000, 3_600_000_000_000


def plateau_read_whole(volts: np.ndarray, turn: int, still: float) -> tuple[int, int]:
    """The plain way: every point of the track looked at for each turn."""
    away = np.abs(volts - volts[turn]) > still
    before, after = np.flatnonzero(away[:turn]), np.flatnonzero(away[turn:])
    first = int(before[-1]) + 1 if before.size else 0
    return first, turn + int(after[0]) - 1 if after.size else volts.size - 1


@pytest.mark.parametrize("seed", range(20))
def test_a_turn_s_rest_is_the_same_as_when_the_whole_track_is_read(seed):
    draw = np.random.default_rng(seed)
    volts = np.repeat(draw.normal(0, 1, 40), draw.integers(1, 900, 40)) + draw.normal(0, 0.02, 1)
    volts = volts + draw.normal(0, 0.01, volts.size)
    for turn in draw.integers(0, volts.size, 30).tolist():
        for still in (0.0, 0.05, 10.0):
            assert _plateau(volts, turn, still) == plateau_read_whole(volts, turn, still)


def test_milliseconds_read_as_seconds_are_no_track_and_fill_no_memory():
    """Ten minutes at 1,000 samples a second, a thousand times too long: 166 hours between the first and the last."""
    times = np.arange(600_000, dtype=np.int64) * 1_000 * MS
    volts = np.sin(np.arange(600_000) / 5_000.0)
    tracemalloc.start()
    track = stick_track(times, volts)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert track is None
    assert peak < 50_000_000


def test_a_lead_of_which_only_changes_were_written_is_filled_in_no_finer_than_memory_allows():
    times = np.array([0, 1, 2, 3, int(11.9 * H // MS)], dtype=np.int64) * MS
    volts = np.array([1.0, 1.1, 1.2, 1.1, 1.0])
    tracemalloc.start()
    track = stick_track(times, volts)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert track is not None
    assert track.volts.size == pytest.approx(11.9 * 360_000, rel=0.001)
    assert peak < 700_000_000
    assert times[-1] < LONGEST_TRACK_NS
