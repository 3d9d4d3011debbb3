"""The crossing from the data threads."""

import threading
import time

import pytest
from PySide6.QtCore import QObject

from benchapp.acquisition.status import LinkState
from benchapp.presentation.messages import message_for
from benchapp.records.errors import DiskTrouble
from benchapp.ui.bridge import FRAME_MS, Bridge
from benchapp.ui.widgets.lane_trace import LaneTrace
from tests.ui.fake_bench import FakeRecording, fake_desk, pulses

SECOND = 1_000_000_000


@pytest.fixture
def bridge(qapp):
    parent = QObject()
    made = Bridge(parent)
    yield made
    made.close()
    parent.deleteLater()


def test_work_is_done_by_the_worker_and_its_result_comes_back_in_the_window_s_thread(bridge, qtbot):
    seen = []

    def done(result):
        seen.append((result, threading.current_thread()))

    bridge.submit(threading.current_thread, done=done, failed=seen.append)
    qtbot.waitUntil(lambda: bool(seen))
    worker, there = seen[0]
    assert worker is not threading.main_thread()
    assert there is threading.main_thread()


def test_what_fails_on_the_worker_is_handed_over_and_the_next_work_is_done(bridge, qtbot):
    failures, results = [], []

    def fail():
        raise DiskTrouble("full")

    bridge.submit(fail, done=results.append, failed=failures.append)
    bridge.submit(lambda: 7, done=results.append, failed=failures.append)
    qtbot.waitUntil(lambda: bool(results))
    assert [str(f) for f in failures] == ["full"]
    assert results == [7]


def test_closing_waits_for_the_recording_and_the_worker(qapp):
    parent = QObject()
    bridge = Bridge(parent)
    recording, results = FakeRecording(), []
    bridge.attach(recording)
    bridge.submit(lambda: time.sleep(0.1), done=results.append, failed=results.append)
    bridge.close()
    assert recording.closed
    assert results == [None]
    parent.deleteLater()


def test_a_bench_found_after_the_window_closed_is_let_go(open_window, qtbot):
    found, recording = threading.Event(), FakeRecording()

    def open_bench(url):
        found.wait(5)
        return recording

    desk = fake_desk()
    object.__setattr__(desk, "open_bench", open_bench)
    window = open_window(desk)
    window.practise("alder")
    threading.Timer(0.1, found.set).start()
    window.close()
    assert recording.closed


def test_a_frame_takes_no_longer_than_there_is_between_two(practising, settle):
    window, recording = practising()
    spent = []
    for number in range(60):
        recording.feed.push(pulses(0, from_ns=number * SECOND // 30, to_ns=(number + 1) * SECOND // 30))
        start = time.perf_counter()
        settle(window, times=1)
        spent.append((time.perf_counter() - start) * 1e3)
    assert sorted(spent)[30] < FRAME_MS


def test_nothing_new_is_not_drawn_again(practising, settle, monkeypatch):
    window, recording = practising()
    recording.feed.push(pulses(0, from_ns=0, to_ns=2 * SECOND))
    settle(window, times=10)
    drawn = []
    usual = LaneTrace.draw
    monkeypatch.setattr(
        LaneTrace, "draw", lambda self, *args, **named: (drawn.append(self), usual(self, *args, **named))
    )
    settle(window, times=10)
    assert drawn == []
    recording.feed.push(pulses(0, from_ns=2 * SECOND, to_ns=3 * SECOND))
    settle(window)
    assert len(drawn) == 2


def test_a_lost_probe_stays_in_the_bar_until_it_is_back(practising, settle):
    window, recording = practising()
    recording.tell(
        link=LinkState.LOST,
        trouble="PortGone",
        message="The port went away.",
        kept="Everything up to then is in a.t2h.",
    )
    settle(window)
    assert window.banner.isVisible()
    assert window.banner.title.text() == "The probe was lost"
    assert "Everything up to then is in a.t2h." in window.banner.body.text()
    assert "probe lost" in window.strip.state.text()
    recording.tell(link=LinkState.RECORDING, message="", kept="")
    settle(window)
    assert not window.banner.isVisible()


def test_a_miss_stays_until_it_is_acknowledged(practising, settle):
    window, recording = practising()
    recording.tell(missed=3, recorded_s=1.0, saved_ago_s=2.0, link=LinkState.RECORDING)
    settle(window)
    assert "3 records missed" in window.strip.saving.text().replace("\u00a0", " ")
    recording.tell(saved_ago_s=0.5)
    settle(window)
    assert "3 records missed" in window.strip.saving.text().replace("\u00a0", " ")
    window.strip.acknowledge.click()
    assert type(recording.wishes[-1]).__name__ == "AcknowledgeMissed"
    recording.tell(missed=0)
    settle(window)
    assert "0 records missed" in window.strip.saving.text().replace("\u00a0", " ")
    assert not window.strip.acknowledge.isVisible()


def test_an_unknown_fault_is_said_once_and_the_window_lives(open_window, settle):
    window = open_window()
    window.show_trouble(message_for(RuntimeError("nobody foresaw this")))
    settle(window)
    assert window.banner.isVisible()
    assert window.banner.details.text() == "RuntimeError: nobody foresaw this"
    window.banner.close_button.click()
    assert not window.banner.isVisible()
    assert window.isVisible()
