"""How short a state of the line is a spike, and what is left of the line without it."""

import numpy as np
import pytest

from benchapp.waveforms.pulses import servo_pulses
from benchapp.waveforms.transitions import state_durations_ns, transitions
from tests.reduction.made_runs import MS, edges

US = 1_000


def train(spike_us: float, *, at_ms: float, pulses: int = 20):
    """Pulses of 1.5 ms every 20 ms on a line that rests low, and after one of them a state of another length."""
    begun = np.arange(pulses) * 20 * MS
    spike = round(5 * 20 * MS + at_ms * MS)
    times = np.sort(np.concatenate([begun, begun + 1500 * US, [spike, spike + round(spike_us * US)]]))
    return edges(0, times, (np.arange(times.size) + 1) % 2)


@pytest.mark.parametrize("spike_us", [0.5, 4, 50, 95])
def test_a_state_shorter_than_a_tenth_of_a_millisecond_is_taken_out_and_counted(spike_us):
    # measurement.md: states shorter than 0.1 ms are spikes.
    line = transitions(train(spike_us, at_ms=9))
    assert line.spikes_ns.tolist() == [109 * MS]
    assert state_durations_ns(line, 1).tolist() == [1500 * US] * 20
    pulses = servo_pulses(train(spike_us, at_ms=9))
    assert pulses.durations_ns.tolist() == [1500 * US] * 20
    assert pulses.glitches_ns.size == 1


@pytest.mark.parametrize("spike_us", [105, 150, 400])
def test_a_longer_state_is_a_state(spike_us):
    line = transitions(train(spike_us, at_ms=9))
    assert line.spikes_ns.size == 0
    assert sorted(set(state_durations_ns(line, 1).tolist())) == [spike_us * US, 1500 * US]


@pytest.mark.parametrize("spike_us", [4, 95])
def test_a_spike_inside_a_pulse_does_not_split_it(spike_us):
    assert state_durations_ns(transitions(train(spike_us, at_ms=0.7)), 1).tolist() == [1500 * US] * 20
