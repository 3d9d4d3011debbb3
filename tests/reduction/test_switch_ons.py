"""This switch-on and any switch-on: two figures, the rules between them, and how often each holds its own truth."""

import math

import numpy as np
import pytest
from scipy import stats

from benchapp.records.events import SWITCH_ON
from benchapp.records.findings import ANY_SWITCH_ON, KNOWN_FRAME, ONE_FRAME, SWITCH_ON_MEANS, THIS_SWITCH_ON, Latency
from benchapp.records.run import Pause, RunEvidence
from benchapp.reduction.flips.circular import largest_gap, locked_by_gap
from benchapp.reduction.flips.headline import HeadlineEstimate, headline
from benchapp.reduction.flips.switch_ons import keeps_step, one_frame_ms, rule_of, within_standard
from benchapp.reduction.recipes import reduce_run
from tests.reduction.made_runs import MS, Made, random_flips

FRAME_MS = 22.5


def run_of(flips: int, *, blocks: int = 1, path_ms: float = 3.0) -> RunEvidence:
    """A set that reads its switch in step with its frame; switched off and on between blocks of alike many flips."""
    made = Made(period_ms=FRAME_MS, path_ms=path_ms, flips_s=random_flips(flips), seconds=flips * 1.2 + 3)
    times = made.flip_times_ns()
    between = [times[i * flips // blocks] for i in range(1, blocks)]
    pauses = tuple(Pause(from_ns=t - 60 * MS, to_ns=t - 20 * MS, reason=SWITCH_ON) for t in between)
    return made.run(pauses=pauses)


def latency_of(flips: int, *, blocks: int = 1) -> Latency:
    latency = reduce_run(run_of(flips, blocks=blocks)).result
    assert latency is not None
    return latency


def test_the_sixtieth_flip_makes_no_cliff():
    one_less, sixty = latency_of(59), latency_of(60)
    for less, full in ((one_less.headline, sixty.headline), (one_less.any_switch_on, sixty.any_switch_on)):
        assert full.expanded_uncertainty_ms == pytest.approx(less.expanded_uncertainty_ms, rel=0.1)
    assert sixty.headline.expanded_uncertainty_ms < 1.5
    # T/√12 for the switch-on that was not seen, and k = 2 (JCGM 100:2008, 4.3.7 and 6.2.2; from memory).
    assert one_less.any_switch_on.expanded_uncertainty_ms == pytest.approx(2 * FRAME_MS / math.sqrt(12), rel=0.02)


@pytest.mark.parametrize("flips", [10, 29, 59, 60, 90])
@pytest.mark.parametrize("blocks", [1, 2])
def test_below_three_switch_ons_any_of_them_adds_one_line_of_a_frame_at_any_number_of_flips(flips, blocks):
    findings = reduce_run(run_of(flips, blocks=blocks))
    headline, any_one = findings.result.headline, findings.result.any_switch_on
    assert (headline.stands_for, any_one.rule, any_one.switch_ons) == (THIS_SWITCH_ON, ONE_FRAME, blocks)
    assert "switch-on" not in {line.source for line in findings.uncertainty}
    naive = math.hypot(headline.combined_standard_ms, FRAME_MS / math.sqrt(12) / math.sqrt(blocks))
    assert any_one.combined_standard_ms == pytest.approx(naive)
    assert any_one.expanded_uncertainty_ms == pytest.approx(any_one.k * naive)
    assert any_one.value_ms == headline.value_ms
    assert {line.source for line in any_one.lines} - {line.source for line in findings.uncertainty} == {"switch-on"}


@pytest.mark.parametrize(("flips", "blocks"), [(60, 3), (60, 5), (84, 7)])
def test_a_set_in_step_takes_the_known_frame_from_three_to_seven_switch_ons(flips, blocks):
    findings = reduce_run(run_of(flips, blocks=blocks))
    headline, any_one = findings.result.headline, findings.result.any_switch_on
    assert findings.result.keeps_step is True
    assert (headline.stands_for, any_one.rule) == (ANY_SWITCH_ON, KNOWN_FRAME)
    own = [[t.mid_ms for t in findings.result.trials if t.block == block] for block in range(blocks)]
    naive = math.hypot(
        FRAME_MS / math.sqrt(12 * blocks),
        math.sqrt(np.mean([np.var(block, ddof=1) / len(block) for block in own]) / blocks),
    )
    assert headline.combined_standard_ms == pytest.approx(naive, rel=1e-6)
    assert (headline.k, headline.dof) == (2.0, None)
    assert (any_one.value_ms, any_one.expanded_uncertainty_ms) == (headline.value_ms, headline.expanded_uncertainty_ms)
    lines = {line.source: line for line in findings.uncertainty}
    assert lines["switch-on"].standard_ms == pytest.approx(FRAME_MS / math.sqrt(12 * blocks))
    assert lines["sampling"].dof is None
    assert "one-power-up" not in findings.flags


@pytest.mark.parametrize(("flips", "blocks"), [(36, 3), (48, 8), (60, 10), (96, 8)])
def test_many_switch_ons_or_too_few_flips_to_know_take_the_spread_of_their_means(flips, blocks):
    findings = reduce_run(run_of(flips, blocks=blocks))
    headline, any_one = findings.result.headline, findings.result.any_switch_on
    assert (headline.stands_for, any_one.rule) == (ANY_SWITCH_ON, SWITCH_ON_MEANS)
    means = [np.mean([t.mid_ms for t in findings.result.trials if t.block == block]) for block in range(blocks)]
    low, high = stats.t.interval(0.95, blocks - 1, np.mean(means), stats.sem(means))
    assert headline.ci95_ms == pytest.approx((low, high))
    assert "switch-on" not in {line.source for line in findings.uncertainty}
    assert any_one.combined_standard_ms == pytest.approx(stats.sem(means), rel=1e-5)
    assert any_one.dof == pytest.approx(blocks - 1, rel=1e-3)


def test_the_rule_by_number_of_switch_ons():
    assert [rule_of(k, keeps_step=True) for k in (1, 2, 3, 7, 8)] == [
        ONE_FRAME, ONE_FRAME, KNOWN_FRAME, KNOWN_FRAME, SWITCH_ON_MEANS
    ]  # fmt: skip
    assert [rule_of(k, keeps_step=False) for k in (2, 3, 8)] == [ONE_FRAME, SWITCH_ON_MEANS, SWITCH_ON_MEANS]


def test_a_block_of_one_flip_has_the_variance_of_the_others():
    latency, blocks = np.array([10.0, 14.0, 30.0, 32.0, 50.0]), np.array([0, 0, 1, 1, 2])
    pooled = (8.0 + 2.0) / 2
    expected = math.sqrt((8.0 / 2 + 2.0 / 2 + pooled) / 3 / 3)
    assert within_standard(latency, blocks) == pytest.approx(expected)


def test_whether_a_set_keeps_step_needs_sixty_flips_and_a_block_of_twelve():
    assert [latency_of(flips).keeps_step for flips in (59, 60)] == [None, True]
    assert latency_of(60, blocks=10).keeps_step is None
    assert latency_of(60, blocks=5).keeps_step is True


@pytest.mark.parametrize(("flips", "flagged"), [(59, False), (60, True)])
def test_only_a_run_that_shows_the_set_in_step_says_so(flips, flagged):
    assert ("one-power-up" in reduce_run(run_of(flips)).flags) is flagged


def test_flips_that_leave_the_frame_bare_cannot_show_a_set_in_step():
    beat = tuple(1.0 + 0.9 * number + 0.0002 * (number % 7) for number in range(60))
    findings = reduce_run(Made(period_ms=FRAME_MS, flips_s=beat, seconds=60.0).run())
    assert "phase-locked" in findings.flags
    assert findings.result.keeps_step is None
    assert "one-power-up" not in findings.flags


def test_a_free_running_set_is_not_taken_for_one_in_step():
    rng = np.random.default_rng(3)
    phase, wait = rng.random(60), rng.random(60) * 7.0
    frames = np.floor((phase * FRAME_MS + wait + 18.0) / FRAME_MS).astype(int)
    trials = [_Seen(phase=float(p), frames_to_answer=int(f)) for p, f in zip(phase, frames, strict=True)]
    assert keeps_step(trials, flips=60) is False


class _Seen:
    missing_pulses, block = 0, 0

    def __init__(self, *, phase: float, frames_to_answer: int) -> None:
        self.phase, self.frames_to_answer = phase, frames_to_answer


# How often each figure holds its truth. The chain: a flip waits for the next scan, takes 5 ms, waits for the next
# output frame; scan and frame keep one offset, drawn anew at each switch-on.


def in_step(rng: np.random.Generator, *, switch_ons: int, flips: int) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Return latencies and phases of a set in step, and the long-run mean of each of its switch-ons."""
    offset = rng.random((switch_ons, 1)) * FRAME_MS
    at = rng.random((switch_ons, flips)) * FRAME_MS
    read = offset + np.ceil((at - offset) / FRAME_MS) * FRAME_MS + 5.0
    latency = np.ceil(read / FRAME_MS) * FRAME_MS - at
    # Half a frame until it is read, 5 ms, and from there to the next output frame.
    own = FRAME_MS / 2 + 5.0 + (-(offset + 5.0) % FRAME_MS)
    return latency, at / FRAME_MS, own[:, 0]


LONG_RUN_MS = FRAME_MS / 2 + 5.0 + FRAME_MS / 2


def estimate(latency: np.ndarray, phase: np.ndarray) -> HeadlineEstimate:
    blocks = np.repeat(np.arange(latency.shape[0]), latency.shape[1])
    gap = largest_gap(phase.ravel())
    return headline(
        latency.ravel(), phase.ravel(), blocks, frame_ms=FRAME_MS, misses_pulses=False,
        locked_by_gap=locked_by_gap(gap, phase.size), keeps_step=True,
    )  # fmt: skip


@pytest.mark.parametrize(("switch_ons", "flips"), [(1, 20), (1, 60), (2, 30), (3, 20), (5, 12), (7, 12), (10, 6)])
def test_any_switch_on_holds_what_the_set_does_in_the_long_run(switch_ons, flips):
    rng, runs, held = np.random.default_rng(switch_ons * flips), 1000, 0
    for _ in range(runs):
        found = estimate(*in_step(rng, switch_ons=switch_ons, flips=flips)[:2])
        sampling = found.half_width_ms / stats.t.ppf(0.975, found.dof)
        if found.rule == SWITCH_ON_MEANS:
            half = found.half_width_ms
        else:
            half = 2.0 * math.hypot(sampling, one_frame_ms(FRAME_MS, switch_ons))
        held += abs(found.value_ms - LONG_RUN_MS) <= half
    assert held / runs >= 0.92


@pytest.mark.parametrize("flips", [20, 60])
def test_this_switch_on_holds_its_own_mean_and_not_that_of_the_next(flips):
    rng, runs = np.random.default_rng(flips), 1000
    own, other = 0, 0
    for _ in range(runs):
        latency, phase, means = in_step(rng, switch_ons=1, flips=flips)
        low, high = estimate(latency, phase).ci95
        own += low <= means[0] <= high
        other += low <= LONG_RUN_MS <= high
    assert own / runs >= 0.90
    assert other / runs < 0.5
