"""What is said of the output's frame, and where in it a flip falls, for pulses counted by hand."""

import numpy as np
import pytest

from benchapp.reduction.recipes import reduce_run
from tests.reduction.made_runs import MS, Made, random_flips
from tests.reduction.test_hold_still import held


@pytest.mark.parametrize(("strays", "seen"), [(15, False), (25, True)])
def test_the_shortest_and_longest_pulses_leave_out_the_outer_two_percent(strays, seen):
    """Of 1000 pulses 20 are 2 %: fewer strays at an end do not move what stands for that end."""
    us = np.full(1000, 1500.0)
    us[100 : 100 + strays], us[600 : 600 + strays] = 1100.0, 1900.0
    frame = held(us).frame
    assert frame.pulses == 1000
    assert (frame.short_us, frame.long_us) == ((1100.0, 1900.0) if seen else (1500.0, 1500.0))


def test_a_flip_s_phase_is_its_place_in_the_frame_even_where_the_pulse_before_it_is_missing():
    flips = random_flips(30)
    # Frames begin at 1 ms and every 20 ms after it; the one that holds each third flip is lost.
    lost = [int((flip * 1e3 - 1) // 20) for flip in flips[2::3]]
    made = Made(flips_s=flips, path_ms=25.0, lost_pulses=frozenset(lost))
    trials = reduce_run(made.run()).result.trials
    assert len(trials) == 30
    for trial in trials:
        assert trial.phase == pytest.approx((trial.at_ns - MS) / (20 * MS) % 1.0, abs=1e-6)
        # From the last pulse begun before the flip to the answer, the lost one among them.
        assert trial.missing_pulses == (1 if trial.flip % 3 == 0 else 0)
        begun = trial.at_ns + trial.mid_lead_ms * MS - MS
        opening = (trial.at_ns - MS) // (20 * MS) - trial.missing_pulses
        assert trial.frames_to_answer == round(begun / (20 * MS)) - opening
