"""Weak and ragged pulses, from trains made for it."""

import numpy as np
import pytest

from benchapp.records.run import Polarity
from benchapp.records.stream import Edges
from benchapp.waveforms.line_kind import LineKind, line_kind
from benchapp.waveforms.ragged import chatters, raggedness
from tests.reduction.made_runs import MS, edges, pulse_edges

US = 1_000


def train(count=100, period_ms=20.0, durations_us=(1500,), starts_ns=None):
    leading = MS + np.arange(count) * round(period_ms * MS) if starts_ns is None else starts_ns
    return pulse_edges(0, leading, np.resize(np.array(durations_us) * US, leading.size))


def alternating(times_ns) -> Edges:
    """Return edges at these times, the first one upward."""
    return edges(0, times_ns, (np.arange(len(times_ns)) + 1) % 2)


def with_states(line: Edges, at_ns, *, ns: int) -> Edges:
    """Return the line with its level turned over for ns at each of the times."""
    times = np.sort(np.concatenate([line.times_ns, *(np.array([t, t + ns]) for t in at_ns)]))
    return alternating(times)


# Frames and lengths of pulses: 11, 20 and 22.5 ms and 880 to 2120 µs are common practice, no source; 3 and 7 ms and the
# three lengths round 760 µs are made up, far from the usual ones.
@pytest.mark.parametrize("period_ms", [3.0, 7.0, 11.0, 20.0, 22.5])
@pytest.mark.parametrize("durations_us", [(1500,), (1100, 1900), (880, 2120), (700, 760, 820)])
def test_clean_pulses_of_any_frame_and_standard_are_not_called_ragged(period_ms, durations_us):
    found = raggedness(train(period_ms=period_ms, durations_us=durations_us))
    assert (found.bad, found.out_of_step, found.ragged) == (0, 0.0, False)


def test_a_single_spike_is_an_accident():
    line = with_states(train(), [45 * MS], ns=20 * US)
    found = raggedness(line)
    assert (found.spoilt, found.ragged) == (1, False)


def test_spikes_between_the_pulses_are_ragged():
    line = with_states(train(), [MS + n * 20 * MS + 9 * MS for n in (3, 20, 41, 60, 77)], ns=20 * US)
    found = raggedness(line)
    assert (found.pulses, found.spoilt, found.ragged) == (100, 5, True)


def test_runts_are_ragged():
    # 200 µs is longer than a spike and shorter than any servo pulse
    durations = np.full(100, 1500)
    durations[[10, 30, 50, 70]] = 200
    found = raggedness(train(durations_us=durations))
    assert (found.pulses, found.spoilt, found.ragged) == (96, 4, True)


def test_a_pulse_split_by_a_dip_is_counted_once_and_keeps_its_length():
    line = with_states(train(), [MS + n * 20 * MS + 700 * US for n in (5, 25, 45)], ns=150 * US)
    found = raggedness(line)
    assert (found.pulses, found.spoilt, found.odd, found.ragged) == (100, 3, 0, True)


def test_lengths_beyond_the_usual_span_are_odd_only_where_the_line_keeps_to_it():
    durations = np.full(100, 1500)
    durations[[10, 30, 50]] = (600, 2400, 500)
    found = raggedness(train(durations_us=durations))
    assert (found.odd, found.ragged) == (3, True)
    assert raggedness(train(durations_us=(560, 760, 960))).odd == 0


def test_a_frame_that_wanders_is_ragged_and_one_that_only_misses_pulses_is_not():
    rng = np.random.default_rng(5)
    wandering = MS + np.cumsum(rng.choice([12, 16, 20, 27], 200)) * MS
    assert raggedness(train(starts_ns=wandering)).ragged
    leading = MS + np.arange(200) * 20 * MS
    missing = leading[rng.random(200) > 0.2]
    found = raggedness(train(starts_ns=missing))
    assert (found.out_of_step, found.ragged) == (0.0, False)


def test_a_few_pulses_say_nothing():
    durations = np.full(9, 1500)
    durations[4] = 200
    assert not raggedness(train(count=9, durations_us=durations)).ragged


def test_the_wrong_state_taken_for_the_pulse_is_not_ragged_by_itself():
    line = train(period_ms=3.0, durations_us=(1100, 1900))
    assert raggedness(line, polarity=Polarity.HIGH).bad == 0


def chattering(count=100, bounces=5):
    """Return pulses whose both edges bounce between the levels for some microseconds, as a weak line does."""
    leading = MS + np.arange(count) * 20 * MS
    bounce = np.arange(bounces * 2 + 1) * 4 * US
    return alternating(np.concatenate([[*(t + bounce), *(t + 1500 * US + bounce)] for t in leading]))


def serial(frames=100, period_ms=7.0):
    """Return 26 bytes at 420 kbaud every 7 ms: a rate, a length and a frame made up for this test."""
    rng = np.random.default_rng(7)
    bits = rng.integers(1, 4, (frames, 130)) * 2381
    starts = MS + np.arange(frames) * round(period_ms * MS)
    times = (starts[:, None] + np.cumsum(bits, axis=1)).ravel()
    return alternating(times)


def test_chatter_at_the_edges_is_told_from_a_serial_output():
    assert line_kind(chattering()) is LineKind.SERIAL
    assert chatters(chattering())
    assert raggedness(chattering()).ragged
    assert line_kind(serial()) is LineKind.SERIAL
    assert not chatters(serial())


@pytest.mark.parametrize(("spoilt", "ragged"), [(0, False), (1, False), (2, True)])
def test_of_few_pulses_one_that_is_spoilt_is_an_accident_and_two_are_not(spoilt, ragged):
    found = raggedness(
        with_states(train(count=20), [45 * MS, 125 * MS][:spoilt], ns=20 * US) if spoilt else train(count=20)
    )
    assert (found.spoilt, found.ragged) == (spoilt, ragged)
