"""Pulses found a few at a time are those found at once."""

import numpy as np
import pytest

from benchapp.records.run import Polarity
from benchapp.records.stream import Edges
from benchapp.ui.link.kept_pulses import MOST_PULSE_EDGES, KeptPulses
from benchapp.ui.link.live_leads import LiveLeads
from benchapp.waveforms.pulses import servo_pulses
from tests.ui.fake_bench import edges, stretch

MS = 1_000_000


def ragged_pulses(count=400):
    """Return the edges of pulses with a dip here, a spike there and some that did not come."""
    draw, times = np.random.default_rng(4), []
    for number in range(count):
        begin = 20 * MS * number + int(draw.integers(0, 50_000))
        end = begin + int(draw.choice([1_100_000, 1_900_000]))
        if number % 37 == 5:
            continue
        times += [begin, begin + 400_000, begin + 430_000, end] if number % 23 == 7 else [begin, end]
        if number % 31 == 3:
            times += [end + 5 * MS, end + 5 * MS + 20_000]
    return edges(0, times)


@pytest.mark.parametrize("step_ms", [33, 7, 210])
def test_found_frame_by_frame_they_are_the_same_as_found_at_once(step_ms):
    whole, live, kept = ragged_pulses(), LiveLeads(), KeptPulses()
    live.take([stretch()])
    before = 0
    for now in range(step_ms * MS, int(whole.times_ns[-1]) + step_ms * MS, step_ms * MS):
        part = (whole.times_ns >= before) & (whole.times_ns < now)
        before = now
        live.take([Edges(lead=0, times_ns=whole.times_ns[part], levels=whole.levels[part], flags=whole.flags[part])])
        lead = live.leads[0]
        found = kept.find(lead, Polarity.HIGH, max(now - 2000 * MS, 0), now)
        wanted = servo_pulses(lead.recent_edges(from_ns=max(now - 1500 * MS, 0), to_ns=now), polarity=Polarity.HIGH)
        if found is None:
            assert not wanted.count
            continue
        recent = found.leading_ns >= (wanted.leading_ns[0] if wanted.count else now)
        assert found.leading_ns[recent].tolist() == wanted.leading_ns.tolist(), now
        assert found.durations_ns[recent].tolist() == wanted.durations_ns.tolist(), now


def test_a_lead_with_too_many_edges_carries_no_servo_pulses():
    live = LiveLeads()
    live.take([stretch(), edges(0, np.arange(MOST_PULSE_EDGES + 10) * 50_000)])
    assert KeptPulses().find(live.leads[0], Polarity.FIND, 0, 10_000 * MS) is None


def test_a_view_of_earlier_moments_is_found_anew():
    live, kept = LiveLeads(), KeptPulses()
    live.take([stretch(), ragged_pulses()])
    late = kept.find(live.leads[0], Polarity.HIGH, 6000 * MS, 8000 * MS)
    early = kept.find(live.leads[0], Polarity.HIGH, 1000 * MS, 3000 * MS)
    assert late.leading_ns[0] >= 6000 * MS
    assert early.leading_ns[0] < 1100 * MS
    assert early.leading_ns[-1] < 3000 * MS
