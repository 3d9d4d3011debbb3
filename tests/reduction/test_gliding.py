"""Outputs that glide, overshoot or stop short, through the whole reduction, against what a slow reading of them says.

The points are first, mid and near-final: 10, 50 and 90 % of the step (reference levels as IEEE Std 181 uses them).
"""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from benchapp.records.run import LeadEvidence, Pause
from benchapp.reduction.recipes import reduce_run
from tests.reduction.made_runs import MS, Made, lead, pulse_edges, random_flips

US = 1_000
POINTS = {"first": 10, "mid": 50, "near_final": 90}


def pulses_of(edges):
    return [(int(a), int(b)) for a, b in zip(edges.times_ns[::2], edges.times_ns[1::2], strict=True)]


def read_slowly(pulses, flip_ns: int, *, old_us: float, new_us: float, percent: int) -> float:
    """Return the latency of a point in ms: pulse by pulse after the flip, the first that has come so far and stays."""
    for (begins, ends), (next_begins, next_ends) in pairwise(pulses):
        gone, next_gone = (
            100 * (end - begin - old_us * US) / ((new_us - old_us) * US)
            for begin, end in ((begins, ends), (next_begins, next_ends))
        )
        if begins > flip_ns and gone >= percent and next_gone >= percent:
            return (ends - flip_ns) / 1e6
    raise AssertionError("never reached")


def found(made: Made, pulses, *, resolution_ns: float = 1.0, **changes):
    """Reduce a run whose output is these pulses."""
    starts, ends = (np.array(side, np.int64) for side in zip(*pulses, strict=True))
    output = LeadEvidence(
        lead=lead(1, "output", resolution_ns=resolution_ns), role="output", edges=pulse_edges(1, starts, ends - starts)
    )
    return reduce_run(made.run(leads={"output": output}, **changes))


@pytest.mark.parametrize("frames", [9, 19])
@pytest.mark.parametrize(("low_us", "high_us"), [(1100.0, 1900.0), (1900.0, 1100.0), (1300.0, 1700.0)])
def test_each_point_of_a_gliding_output_is_the_pulse_that_has_come_so_far(frames, low_us, high_us):
    # In 9 and 19 steps no pulse stands at a point, and the nearest short of it are 44 and 47 % and 88.9 and 89.5 %.
    made = Made(flips_s=random_flips(30), low_us=low_us, high_us=high_us, glide_frames=frames)
    pulses = pulses_of(made.output())
    trials = found(made, pulses).result.trials
    assert len(trials) == 30
    for trial in trials:
        ways = {"old_us": low_us, "new_us": high_us} if trial.flip % 2 else {"old_us": high_us, "new_us": low_us}
        for point, percent in POINTS.items():
            truth = read_slowly(pulses, trial.at_ns, percent=percent, **ways)
            assert getattr(trial, f"{point}_ms") == pytest.approx(truth, abs=2e-6), (trial.flip, point)


@pytest.mark.parametrize(("frames", "gliding"), [(0, False), (4, False), (5, True), (9, True)])
def test_an_output_that_takes_more_than_three_frames_from_10_to_90_percent_is_a_ramp(frames, gliding):
    # In 4 equal steps the points are the first and the last pulse, three frames apart; in 5 they are four apart.
    findings = reduce_run(Made(flips_s=random_flips(30), glide_frames=frames).run())
    assert ("ramp" in findings.flags) is gliding


def with_pulse_after(made: Made, pulses, *, frames: int, lasts_us: dict[int, float]):
    """Return the pulses with one changed after each flip: the given frame after it, by the state that is new."""
    changed = list(pulses)
    begun = [begins for begins, _ in pulses]
    for number, flip in enumerate(made.flip_times_ns(), 1):
        at = int(np.searchsorted(begun, flip, side="right")) + frames
        changed[at] = (begun[at], begun[at] + round(lasts_us[number % 2] * US))
    return changed


def test_one_pulse_that_goes_ahead_and_falls_back_is_no_answer_until_the_next_agrees():
    made = Made(flips_s=random_flips(30), late_ms=dict.fromkeys(range(1, 31), 100.0))
    plain = pulses_of(made.output())
    ahead = with_pulse_after(made, plain, frames=1, lasts_us={1: 1900.0, 0: 1100.0})
    for findings in (found(made, plain), found(made, ahead)):
        assert len(findings.result.trials) == 30
        for trial in findings.result.trials:
            assert trial.mid_ms == pytest.approx(made.truth_mid_ms[trial.flip], abs=2e-6)
            assert trial.first_ms == trial.mid_ms == trial.near_final_ms


@pytest.mark.parametrize(("short_us", "counts"), [(0, True), (1, True), (2, False)])
def test_a_pulse_one_stamp_short_of_half_way_has_reached_it_and_two_stamps_short_has_not(short_us, counts):
    """A stamp lies anywhere within its interval: one interval of 1 us short may be none at all."""
    made = Made(flips_s=random_flips(30), path_ms=0.0)
    first = with_pulse_after(
        made, pulses_of(made.output()), frames=0, lasts_us={1: 1500 - short_us, 0: 1500 + short_us}
    )
    findings = found(made, first, resolution_ns=1000.0)
    begun = [begins for begins, _ in first]
    assert len(findings.result.trials) == 30
    for trial in findings.result.trials:
        at = int(np.searchsorted(begun, trial.at_ns, side="right"))
        begins, ends = first[at if counts else at + 1]
        assert trial.mid_ms == pytest.approx((ends - trial.at_ns) / 1e6, abs=2e-3)
        assert trial.mid_lead_ms == pytest.approx((begins - trial.at_ns) / 1e6, abs=2e-3)


@pytest.mark.parametrize(
    ("from_ms", "to_ms", "paused"),
    [
        (-50.0, -1.0, False),
        (-50.0, 1.0, True),
        (1.0, 2.0, True),
        (30.0, 40.0, True),
        (30.0, 400.0, True),
        (110.0, 200.0, False),
    ],
    ids=["before", "across the flip", "right after it", "while it waits", "across the answer", "after the answer"],
)
def test_a_pause_that_touches_a_flip_or_the_wait_for_its_answer_leaves_it_out(from_ms, to_ms, paused):
    made = Made(flips_s=random_flips(30), late_ms={10: 60.0})
    made.output()
    assert 60.0 < made.truth_mid_ms[10] < 100.0
    flip = made.flip_times_ns()[9]
    pause = Pause(from_ns=flip + round(from_ms * MS), to_ns=flip + round(to_ms * MS), reason="bad-signal")
    latency = reduce_run(made.run(pauses=(pause,))).result
    assert {(e.flip, e.code) for e in latency.excluded} == ({(10, "paused")} if paused else set())


def test_an_unanswered_flip_is_paused_by_what_falls_into_its_whole_window():
    made = Made(flips_s=random_flips(30), dead=frozenset({10}))
    flip = made.flip_times_ns()[9]
    pause = Pause(from_ns=flip + 300 * MS, to_ns=flip + 310 * MS, reason="bad-signal")
    codes = {e.flip: e.code for e in reduce_run(made.run(pauses=(pause,))).result.excluded}
    assert codes[10] == "paused"


@pytest.mark.parametrize(("period_ms", "window_ms"), [(20.0, 500.0), (40.0, 800.0)])
@pytest.mark.parametrize("frames_later", [0, 1])
def test_the_last_pulse_of_the_window_may_be_the_answer_and_the_one_after_it_may_not(
    period_ms, window_ms, frames_later
):
    """The window is the longer of 0.5 s and 20 frames; the pulse that agrees may lie behind it."""
    plain = Made(period_ms=period_ms, flips_s=random_flips(24, dwell_s=2.0))
    flip = plain.flip_times_ns()[6]
    last = max(begins for begins, _ in pulses_of(plain.output()) if begins + 1900 * US <= flip + window_ms * MS)
    begins = last + frames_later * round(period_ms * MS)
    late_ms = {7: (begins - flip) / MS - plain.path_ms - 0.001}
    latency = reduce_run(replace(plain, late_ms=late_ms, truth_mid_ms={}).run()).result
    if frames_later:
        assert {e.flip: e.code for e in latency.excluded} == {7: "no-answer"}
    else:
        answer = next(trial for trial in latency.trials if trial.flip == 7)
        assert answer.mid_lead_ms == pytest.approx((begins - flip) / MS, abs=1e-6)
