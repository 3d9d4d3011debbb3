"""The newest flip on the bench, outside a run, against what the same bench is known to do."""

import pytest

from benchapp.procedures.flips.bench_flips import BenchFlips
from benchapp.records.flip_seen import last_flip
from benchapp.records.run import RunSettings
from benchapp.records.stream import Gap
from tests.procedures.test_switch_flip import started
from tests.procedures.told_bench import DRIVE, MS, OUTPUT, SWITCH, S, ToldBench, evenly, play

ROLES = {0: "output", 1: "switch", 4: "drive"}


def watched(bench, to_ns, *, roles=ROLES, every_ns=20 * MS):
    """Return the watch and each newest flip it told, in order."""
    watch, told = BenchFlips(), []
    watch.begin((OUTPUT, SWITCH, DRIVE), roles, {})
    for now, records in bench.slices(range(every_ns, to_ns, every_ns)):
        watch.see(records, now)
        if watch.last is not None and (not told or told[-1][1] is not watch.last):
            told.append((now, watch.last))
    return watch, told


def test_each_flip_is_told_with_its_latency_and_the_pulses_before_and_after():
    # Frames begin at 3 ms + 20 n; the answer to a flip at 1 s + 5 ms delay is the pulse that begins at 1 023 ms.
    bench = ToldBench(flips_ns=[1000 * MS, 2500 * MS])
    _, told = watched(bench, 4 * S)
    assert [flip.at_ns for _, flip in told] == bench.flips_ns
    first, second = (flip for _, flip in told)
    assert first.mid_ms == pytest.approx(23.0 + 1.9)
    assert (first.direction, first.before_us, first.after_us) == ("up", 1100.0, 1900.0)
    assert (second.direction, second.before_us, second.after_us) == ("down", 1900.0, 1100.0)


def test_a_flip_is_told_within_a_second():
    _, told = watched(ToldBench(flips_ns=[1 * S]), 4 * S)
    # The window of 0.5 s, ten pulses of 20 ms, 0.03 s of lag.
    assert told[0][0] - 1 * S == pytest.approx(730 * MS, abs=40 * MS)


def test_a_flip_without_an_answer_says_so():
    bench = ToldBench(flips_ns=[1 * S, 2 * S, 4 * S], delay_ns=900 * MS)
    watch, _ = watched(ToldBench(flips_ns=[1 * S, 2500 * MS]), 5 * S)
    assert watch.last.code == ""
    watch, _ = watched(bench, 6 * S)
    assert watch.last.mid_ms is None
    assert watch.last.code in {"no-answer", "step-too-small", "already-there"}


def test_the_flip_of_the_bench_is_the_flip_of_the_run():
    flips = evenly(30)
    run = started(settings=RunSettings(flips=30))
    play(run, ToldBench(flips_ns=flips), 60 * S)
    watch, _ = watched(ToldBench(flips_ns=flips), 60 * S)
    assert watch.last == run.progress().last_flip == last_flip(run.progress().found)


def test_slow_frames_are_waited_for():
    _, told = watched(ToldBench(flips_ns=[1 * S], period_ns=50 * MS), 5 * S)
    assert told[0][1].mid_ms is not None
    # 20 frames of 50 ms, ten pulses more.
    assert told[0][0] - 1 * S >= 1500 * MS


def test_records_that_are_missing_leave_the_flip_out():
    watch = BenchFlips()
    watch.begin((OUTPUT, SWITCH), ROLES, {})
    for now, records in ToldBench(flips_ns=[1 * S]).slices(range(20 * MS, 3 * S, 20 * MS)):
        lost = [Gap(leads=(), from_ns=1005 * MS, to_ns=1015 * MS, cause="lost")] if now == 1020 * MS else []
        watch.see([*records, *lost], now)
    assert (watch.last.mid_ms, watch.last.code) == (pytest.approx(24.9), "probe-gap")


def test_leads_clipped_anew_begin_anew_and_one_lead_alone_tells_nothing():
    watch, _ = watched(ToldBench(flips_ns=[1 * S]), 3 * S)
    assert watch.last is not None
    watch.begin((OUTPUT, SWITCH), {0: "output"}, {})
    assert watch.last is None
    _, told = watched(ToldBench(flips_ns=[1 * S]), 3 * S, roles={1: "switch"})
    assert told == []


def test_pulses_on_the_switch_s_lead_keep_nothing_and_tell_nothing():
    swapped = {0: "switch", 1: "output"}
    watch, told = watched(ToldBench(flips_ns=[1 * S]), 30 * S, roles=swapped)
    assert told == []
    kept = sum(part.count for parts in watch._edges.values() for part in parts)
    # 12 s of 50 pulses a second have 1 200 edges.
    assert kept <= 1300
    assert sum(part.count for part in watch._watch._open) <= 250
