"""When the probe flips the contact itself."""

from random import Random

import numpy as np

from benchapp.procedures.flips.phases import GOLDEN, RANDOM_FRAMES, GoldenPhases

PERIOD = 22_500_000


def planned(count: int, seed: int = 1) -> np.ndarray:
    phases, now = GoldenPhases(Random(seed).random), 0
    times = []
    for _ in range(count):
        now = phases.next_ns(leading_ns=now - now % PERIOD, period_ns=PERIOD, not_before_ns=now + 700_000_000)
        times.append(now)
    return np.array(times)


def test_phases_step_by_the_golden_ratio():
    phases = planned(50) / PERIOD % 1
    steps = np.diff(phases) % 1
    assert np.allclose(steps, GOLDEN, atol=1e-6)


def test_no_flip_comes_before_it_may():
    assert np.diff(planned(200)).min() >= 700_000_000


def test_the_whole_frames_between_flips_are_random_and_evenly_spread():
    waits = np.floor((np.diff(planned(4000)) - 700_000_000) / PERIOD).astype(int)
    counts = np.bincount(waits, minlength=RANDOM_FRAMES + 1)
    assert counts.size == RANDOM_FRAMES + 1
    # 4000 draws over 25 values: 160 each, standard deviation 12.4.
    assert counts.min() > 100
    assert counts.max() < 220


def test_the_largest_hole_round_the_circle_is_small_for_any_number_of_flips():
    # Three-distance theorem: n points stepped by the golden ratio leave no hole much above 2 / n.
    phases = planned(200) / PERIOD % 1
    for count in (20, 60, 200):
        holes = np.diff(np.sort(phases[:count]), append=np.min(phases[:count]) + 1)
        assert holes.max() < 2.1 / count
