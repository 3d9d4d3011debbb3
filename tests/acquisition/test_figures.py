"""The thread that works figures out."""

import threading

import numpy as np
import pytest

from benchapp.acquisition import figures
from benchapp.acquisition.figures import IN_MEMORY_BYTES, FigureThread, FileColumn
from benchapp.desk.loading import load
from benchapp.desk.recording import RecordOrder, record
from benchapp.procedures.flips import course as flip_course
from benchapp.procedures.hold import course as hold_course
from benchapp.records.errors import SystemTrouble
from benchapp.records.run import RunSettings
from tests.acquisition.fakes import LONG_S


@pytest.fixture
def thread():
    made = FigureThread()
    yield made
    assert made.quit(LONG_S)


def test_work_is_done_in_order_on_a_thread_of_its_own(thread):
    done = []
    for number in range(100):
        thread.do(lambda number=number: done.append((number, threading.current_thread().name)))
    assert thread.wait(LONG_S)
    assert done == [(number, "figures") for number in range(100)]


def test_it_rests_nine_times_as_long_as_it_worked(thread, monkeypatch):
    now = [100.0]
    monkeypatch.setattr(figures.time, "monotonic", lambda: now[0])

    def work() -> None:
        now[0] += 2.0

    thread.do(work)
    assert thread.wait(LONG_S)
    assert not thread.free
    now[0] = 119.9
    assert not thread.free
    now[0] = 120.0
    assert thread.free


def test_waiting_for_work_that_hangs_ends(thread):
    gate = threading.Event()
    thread.do(lambda: gate.wait(LONG_S))
    assert not thread.wait(0.01)
    assert not thread.quit(0.01)
    gate.set()


def test_a_long_series_goes_into_a_file_and_comes_back_whole():
    column, parts = FileColumn(), [np.arange(n, n + 1000, dtype=np.int64) for n in range(0, 100_000, 1000)]
    assert column.whole() is None
    for part in parts:
        column.append(part)
        column.whole()
    whole = column.whole()
    assert whole.nbytes > IN_MEMORY_BYTES
    assert whole.dtype == np.int64
    assert np.array_equal(whole, np.arange(100_000))


def test_a_series_that_finds_no_room_counts_as_empty():
    column = FileColumn()
    column.append(np.arange(5))

    class Full:
        def write(self, data):
            raise OSError(28, "No space left on device")

    column._file.close()
    column._file = Full()
    column.append(np.arange(5))
    assert column.whole() is None


def order(out, test="switch-flip", probe="practice://alder?seed=4", **settings) -> RecordOrder:
    return RecordOrder(probe=probe, test=test, out=out, settings=RunSettings(**settings), confirmed=("practice",))


def test_the_figure_is_made_beside_the_thread_that_reads_and_the_last_one_is_that_of_the_findings(
    tmp_path, monkeypatch
):
    made_on, usual = set(), flip_course.figure_of

    def figure_of(evidence):
        made_on.add(threading.current_thread().name)
        return usual(evidence)

    monkeypatch.setattr(flip_course, "figure_of", figure_of)
    recorded = record(order(tmp_path / "a.t2h", flips=25), lambda status: None)
    assert made_on == {"figures"}
    found = load(tmp_path / "a.t2h").findings.runs[0].result
    assert recorded.run.value_ms == found.headline.value_ms
    assert recorded.run.answered == len(found.trials)


def test_the_last_figures_of_a_hold_are_those_of_its_findings(tmp_path):
    recorded = record(order(tmp_path / "a.t2h", "hold-still", seconds=20.0), lambda status: None)
    found = load(tmp_path / "a.t2h").findings.runs[0].result
    assert (recorded.run.stick.sd_us, recorded.run.stick.peak_us) == (found.sd_us, found.peak_to_peak_us)
    assert recorded.run.stick.pulses == found.pulses > 1000


def test_a_bench_whose_time_stands_still_waits_for_the_figure_a_rule_needs(tmp_path):
    orders = [order(tmp_path / f"{n}.t2h", probe="practice://birch?seed=3", target_ms=8.0) for n in range(2)]
    one, other = [record(wanted, lambda status: None) for wanted in orders]
    assert one.run.stop_reason == "target-met"
    assert one.evidence_hash == other.evidence_hash
    assert one.run == other.run


@pytest.mark.filterwarnings("ignore::pytest.PytestUnhandledThreadExceptionWarning")
@pytest.mark.parametrize(("module", "name", "test"), [
    (flip_course, "figure_of", "switch-flip"), (hold_course, "hold_figure_of", "hold-still")
])  # fmt: skip
def test_a_figure_that_fails_in_an_unforeseen_way_ends_the_run_with_a_word(tmp_path, monkeypatch, module, name, test):
    def fail(evidence):
        raise ZeroDivisionError

    monkeypatch.setattr(module, name, fail)
    recorded = record(order(tmp_path / "a.t2h", test, seconds=600.0), lambda status: None)
    assert isinstance(recorded.trouble, SystemTrouble)
    assert "did not expect (ZeroDivisionError)" in recorded.trouble.message
    assert recorded.run.stop_reason == "unforeseen"
