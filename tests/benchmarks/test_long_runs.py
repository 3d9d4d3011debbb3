"""What a run costs the longer it lasts, and what committing by the computer's clock saves at a flat pace."""

import time

import pytest

from benchapp.acquisition.figures import FigureThread
from benchapp.probe.opening import open_link
from benchapp.procedures.ground.progress import StopReason
from benchapp.procedures.hold.run_part import begin
from benchapp.records.run import RunSettings
from tests.acquisition.fakes import OPENED, WatchedLink, ask_for_run, finish, practice
from tests.procedures.told_stick import MS, S, ToldStick, plan

TEN_MINUTES_S = 600
HOUR_RATIO = 1.2 * 6
"""An hour of a run costs at most this many times ten minutes of it: hardly more than its length."""


def hold_cost_s(seconds: int) -> float:
    """Return the processor time that a hold of so long costs, its figures on their own thread included [s]."""
    stick = ToldStick(way=[(0.0, 0.5), (seconds, 0.5)], seconds=float(seconds), noise_us=1.0)
    figures = FigureThread()
    run = begin(plan("hold-still", RunSettings()), helper=figures)
    begun = time.process_time()
    for now, records in stick.slices(range(100 * MS, seconds * S, 100 * MS)):
        run.see(records, now)
    run.finish(StopReason.BY_HAND, seconds * S)
    assert figures.quit(60.0)
    cost_s = time.process_time() - begun
    assert run.progress().stick.sd_us == pytest.approx(1.0, rel=0.05)
    return cost_s


def test_an_hour_of_a_hold_costs_about_six_times_ten_minutes(benchmark):
    short_s = min(hold_cost_s(TEN_MINUTES_S) for _ in range(3))
    long_s = benchmark.pedantic(hold_cost_s, args=(6 * TEN_MINUTES_S,), rounds=1)
    benchmark.extra_info["ten minutes [s]"] = round(short_s, 2)
    benchmark.extra_info["times ten minutes"] = round(long_s / short_s, 2)
    assert long_s <= HOUR_RATIO * short_s


class BenchClocks:
    """The computer's clocks as if they were the bench's own: a commit for every quarter second of its time."""

    def __init__(self) -> None:
        self.link = None

    def monotonic_ns(self) -> int:
        return 0 if self.link is None else self.link.host_ns()

    def asleep_ns(self) -> int:
        return 0


def record_s(path, clocks) -> float:
    """Return how long 60 flips at a flat pace take to record with these clocks [s]; None: the computer's own."""

    def open_it():
        link = WatchedLink(open_link("practice://alder?seed=4"), lambda reads: None)
        if clocks is not None:
            clocks.link = link
        return link

    recording = practice(open_it, clocks=clocks)
    ask_for_run(recording, path, flips=60)
    begun = time.perf_counter()
    finish(recording)
    OPENED.remove(recording)
    assert recording.failure is None
    return time.perf_counter() - begun


def test_a_flat_pace_commits_by_the_computers_clock(benchmark, tmp_path):
    each = [[], []]
    for number in range(3):  # in turn, so that a busy computer is busy for both
        each[0].append(record_s(tmp_path / f"bench-{number}.t2h", BenchClocks()))
        each[1].append(record_s(tmp_path / f"wall-{number}.t2h", None))
    benchmark.pedantic(record_s, args=(tmp_path / "a.t2h", None), rounds=1)
    ratio = min(each[1]) / min(each[0])
    benchmark.extra_info["of the time with its own commits"] = round(ratio, 2)
    assert ratio < 0.9
