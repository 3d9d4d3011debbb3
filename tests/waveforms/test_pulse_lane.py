"""What a lane of servo pulses shows, against pulses whose lengths are known."""

import numpy as np
import pytest

from benchapp.records.stream import Gap
from benchapp.waveforms.pulse_lane import length_limits_ms, pulse_lengths, too_close
from benchapp.waveforms.pulses import servo_pulses
from tests.ui.fake_bench import edges, pulses

MS = 1_000_000


def of(*spans_ms):
    """Return servo pulses of these beginnings and lengths [ms]."""
    return servo_pulses(edges(0, [round(at * MS) for begin, long in spans_ms for at in (begin, begin + long)]))


def test_pulses_are_too_close_below_four_pixels_from_edge_to_edge():
    steady = servo_pulses(pulses(0, from_ns=0, to_ns=1000 * MS, pulse_ns=1_500_000))
    assert too_close(steady, 1.5 * MS / 3.9)
    assert not too_close(steady, 1.5 * MS / 4.1)
    assert not too_close(of(), 1.0 * MS)


def test_a_flip_is_a_step_of_lengths():
    times, lengths = pulse_lengths(of(*((20 * n, 1.1 if n < 10 else 1.9) for n in range(20))))
    assert times.tolist() == [20 * n * MS for n in range(20)]
    assert lengths.tolist() == pytest.approx([1.1] * 10 + [1.9] * 10)


def test_a_line_ends_where_pulses_stop_and_where_records_are_missing():
    times, lengths = pulse_lengths(of(*((20 * n, 1.5) for n in (*range(10), *range(20, 30)))))
    ends = times[np.isnan(lengths)]
    # A frame after the last pulse before the silence, which began at 180 ms.
    assert ends.tolist() == [200 * MS]
    times, lengths = pulse_lengths(
        of(*((20 * n, 1.5) for n in range(20))), [Gap(leads=(), from_ns=95 * MS, to_ns=97 * MS, cause="lost")]
    )
    assert times[np.isnan(lengths)].tolist() == [95 * MS]
    assert np.all(np.diff(times) >= 0)


def test_one_missing_pulse_does_not_break_the_line():
    _, lengths = pulse_lengths(of(*((20 * n, 1.5) for n in range(20) if n != 9)))
    assert not np.isnan(lengths).any()


@pytest.mark.parametrize(
    ("lengths", "limits"),
    [((), (1.0, 2.0)), ((1.1, 1.9), (1.0, 2.0)), ((0.88, 2.12), (0.5, 2.5)), ((0.76, np.nan), (0.5, 2.0))],
)
def test_the_scale_goes_from_1_to_2_ms_and_is_widened_by_half_milliseconds(lengths, limits):
    assert length_limits_ms(np.array(lengths, dtype=np.float64)) == limits
