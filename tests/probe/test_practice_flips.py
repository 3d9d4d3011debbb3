"""When the practice bench flips its own switch."""

import itertools
import math

import pytest

from tests.probe.practice_reading import naive_flip_ticks, naive_pulses, record

GOLDEN = (math.sqrt(5) - 1) / 2


def flip_phases(recording, period_ms):
    """Phase of each flip over the output's frame, from raw edges: time since the last leading edge."""
    leading = [a for a, _ in naive_pulses(recording.edges["output"])]
    phases = []
    for flip in naive_flip_ticks(recording.edges["switch"]):
        last = max((tick for tick in leading if tick <= flip.tick), default=None)
        if last is not None:
            phases.append((flip.tick - last) / 16e3 / period_ms % 1.0)
    return phases


@pytest.mark.parametrize(("radio", "period_ms"), [("alder", 9.0), ("birch", 22.5), ("cedar", 14.0)])
def test_golden_flips_spread_round_the_frame_as_evenly_as_the_golden_ratio_does(radio, period_ms):
    phases = sorted(flip_phases(record(f"practice://{radio}?seed=21&flips=golden", 100), period_ms))
    n = len(phases)
    gaps = [b - a for a, b in zip(phases, [*phases[1:], phases[0] + 1], strict=True)]
    # Three-distance theorem (V. T. Sós, 1958): with golden steps no gap exceeds golden² + golden times the mean
    # gap, below 1.9; random phases leave gaps of about ln(n)/n, here over 4 mean gaps. Jitter of 2 µs adds little.
    assert n >= 60
    assert max(gaps) < 1.9 / n + 0.003


def test_golden_flips_come_after_the_dwell_and_0_to_24_whole_frames():
    flips = naive_flip_ticks(record("practice://birch?seed=22&flips=golden", 200).edges["switch"])
    frames = []
    for a, b in itertools.pairwise(flips):
        gap = (b.tick - a.tick) / 16e3 - 900
        assert gap >= 0
        frames.append(int(gap / 22.5))
    assert min(frames) <= 2
    assert max(frames) in (23, 24)
    assert len(set(frames)) >= 20


def test_golden_steps_differ_by_the_golden_ratio_from_flip_to_flip():
    phases = flip_phases(record("practice://birch?seed=23&flips=golden&jitter_us=0", 60), 22.5)
    for a, b in itertools.pairwise(phases):
        assert (b - a) % 1.0 == pytest.approx(GOLDEN, abs=1e-4)


def test_random_flips_come_after_the_dwell_and_spread_over_many_frames():
    flips = naive_flip_ticks(record("practice://birch?seed=24&dwell_s=0.5", 200).edges["switch"])
    gaps_ms = [(b.tick - a.tick) / 16e3 for a, b in itertools.pairwise(flips)]
    assert min(gaps_ms) >= 500
    assert max(gaps_ms) <= 1200.001
    assert max(gaps_ms) - min(gaps_ms) > 25 * 22.5


def test_left_alone_the_switch_never_moves():
    assert "switch" not in record("practice://alder?seed=25&flips=none", 10).edges


def test_flips_alternate_and_bounces_stay_within_what_was_published():
    edges = record("practice://alder?seed=26", 200).edges["switch"]
    flips = naive_flip_ticks(edges)
    assert [flip.level for flip in flips] == [1 - n % 2 for n in range(len(flips))]
    lasts_ms = []
    for flip, following in itertools.pairwise(flips):
        burst = [tick for tick, _ in edges if flip.tick <= tick < following.tick]
        lasts_ms.append((burst[-1] - flip.tick) / 16e3)
    # J. Ganssle, "A Guide to Debouncing" (title from memory), as quoted at uruvideo.com: 1557 µs on average, 6200 µs at
    # the longest. The longest ones are cut off here, which takes the mean of 150 and more down a little.
    assert max(lasts_ms) <= 6.2 + 0.1
    assert 1.0 < sum(lasts_ms) / len(lasts_ms) < 2.0


def test_spikes_on_the_switch_end_where_they_began_and_keep_clear_of_flips():
    edges = record("practice://alder?seed=27&glitch_per_s=5&bounce_ms=0", 60).edges["switch"]
    flips = naive_flip_ticks(edges)
    assert len(edges) > len(flips) + 100
    assert (len(edges) - len(flips)) % 2 == 0
    spikes = [(a[0], b[0]) for a, b in itertools.pairwise(edges) if b[0] - a[0] < 0.25 * 16e3]
    for flip in flips:
        assert all(abs(tick - flip.tick) >= 60 * 16e3 - 1 for spike in spikes for tick in spike)
