"""The crossing from the data threads."""

import threading
import time
from pathlib import Path

import pytest
from PySide6.QtCore import QObject

from benchapp.acquisition.status import LinkState
from benchapp.acquisition.wishes import NewSession, StartRun
from benchapp.desk.loading import load
from benchapp.presentation.ground.messages import message_for
from benchapp.records.errors import DiskTrouble
from benchapp.ui.link import bridge as bridge_module
from benchapp.ui.link.bridge import FRAME_MS, Bridge
from benchapp.ui.widgets.lane_trace import LaneTrace
from tests.ui.fake_bench import LOAD, OPEN_BENCH, PORTS, FakeRecording, fake_desk, pulses
from tests.ui.made_sessions import made_session

SECOND = 1_000_000_000
LONG_S = 60.0


@pytest.fixture
def bridge(qtbot):
    parent = QObject()
    made = Bridge(parent)
    yield made
    made.shut()
    qtbot.waitUntil(lambda: made.gone)
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


class HangingRecording(FakeRecording):
    """Closes only once it may."""

    def __init__(self, gate, **options) -> None:
        super().__init__(**options)
        self.gate = gate
        self.closed_on = None

    def close(self) -> None:
        assert self.gate.wait(LONG_S)
        super().close()
        self.closed_on = threading.current_thread()


@pytest.fixture
def gate():
    """Something that hangs until the test is over."""
    event = threading.Event()
    yield event
    event.set()


@pytest.fixture
def session_path(tmp_path):
    return made_session(tmp_path / "a.t2h", flips=3)


def test_shutting_ends_the_recording_and_finishes_what_was_begun(bridge, qtbot, gate):
    recording, results = FakeRecording(), []
    bridge.attach(recording)
    bridge.submit(lambda: gate.wait(LONG_S), done=results.append, failed=results.append)
    bridge.shut()
    assert not bridge.gone
    assert not results
    gate.set()
    qtbot.waitUntil(lambda: bridge.gone)
    assert recording.closed
    assert results == [True]
    bridge.submit(lambda: 7, done=results.append, failed=results.append)
    assert results == [True]


def test_a_recording_that_does_not_close_holds_up_neither_the_window_nor_a_file(bridge, qtbot, gate):
    recording, results = HangingRecording(gate), []
    bridge.release(recording)
    bridge.submit(lambda: "a file", done=results.append, failed=results.append)
    bridge.submit(lambda: "a port", done=results.append, failed=results.append, on_port=True)
    qtbot.waitUntil(lambda: bool(results))
    assert results == ["a file"]  # the port is opened after the bench before it has let go of it
    assert not recording.closed
    gate.set()
    qtbot.waitUntil(lambda: len(results) == 2)
    assert recording.closed_on is not threading.main_thread()


def test_what_hangs_is_left_behind_when_the_window_closes(bridge, qtbot, gate):
    assert bridge_module.LONGEST_SHUT_MS == 20_000
    bridge.attach(HangingRecording(gate))
    bridge.shut()
    assert not bridge.gone
    bridge._patience.start(1)  # twenty seconds, for somebody who has no time
    with qtbot.waitSignal(bridge.ended):
        pass
    assert bridge.gone
    gate.set()
    for thread in threading.enumerate():
        if thread.name == "closing":
            thread.join(LONG_S)


@pytest.fixture
def hours(monkeypatch):
    """A clock for the bridge's waits, which the test moves on by hand: nobody waits."""
    passed = [0.0]
    real = time.monotonic
    monkeypatch.setattr(bridge_module.time, "monotonic", lambda: real() + passed[0])
    return passed


def test_what_has_not_come_in_time_is_named_until_it_has(bridge, qtbot, gate, hours):
    assert bridge_module.SAID_AFTER_S == 2.0
    said, over, results = [], [], []
    bridge.slow.connect(said.append)
    bridge.slow_over.connect(over.append)
    running = threading.Event()
    bridge.submit(
        lambda: (running.set(), gate.wait(LONG_S))[1], done=results.append, failed=results.append, what="/far/away"
    )
    qtbot.waitUntil(running.is_set)
    bridge.tick()
    assert said == []
    hours[0] = 2.0
    qtbot.waitUntil(lambda: said == ["/far/away"])
    assert over == []
    gate.set()
    qtbot.waitUntil(lambda: results == [True])
    assert (said, over) == (["/far/away"], ["/far/away"])


def test_what_hangs_holds_up_what_comes_behind_it_no_longer_than_its_limit(bridge, qtbot, gate, hours):
    assert bridge_module.LONGEST_WAIT_S == 20.0
    results = []
    running = threading.Event()
    bridge.submit(
        lambda: (running.set(), gate.wait(LONG_S))[1], done=results.append, failed=results.append, what="/far/away"
    )
    bridge.submit(lambda: "behind it", done=results.append, failed=results.append)
    qtbot.waitUntil(running.is_set)
    bridge.tick()
    hours[0] = 19.0
    bridge.tick()
    assert results == []
    hours[0] = 20.0
    qtbot.waitUntil(lambda: results == ["behind it"])
    gate.set()  # what hung may still come
    qtbot.waitUntil(lambda: results == ["behind it", True])


def test_a_port_list_or_a_folder_that_does_not_come_leaves_the_window_alive_and_is_said(
    open_window, qtbot, gate, hours, tmp_path
):
    running = threading.Event()
    desk = fake_desk()
    desk[PORTS] = lambda: (running.set(), gate.wait(LONG_S), [])[-1]
    window = open_window(desk)
    qtbot.waitUntil(running.is_set)
    hours[0] = 2.0
    qtbot.waitUntil(window.banner.isVisible)
    assert window.banner.title.text() == "Still waiting"
    assert "the list of ports" in window.banner.details.text()
    gate.set()
    qtbot.waitUntil(lambda: not window.banner.isVisible())


def test_the_folder_of_a_session_is_made_beside_the_window_s_thread_and_a_second_start_makes_no_second_session(
    practising, qtbot, gate, monkeypatch
):
    window, recording = practising()
    made_by, usual = [], Path.mkdir

    def mkdir(path, *args, **named):
        if path.name == "sessions":
            made_by.append(threading.current_thread())
            assert gate.wait(LONG_S)
        usual(path, *args, **named)

    monkeypatch.setattr(Path, "mkdir", mkdir)
    window.workbench.start_run(StartRun())
    window.workbench.start_run(StartRun())
    qtbot.waitUntil(lambda: bool(made_by))
    assert not any(isinstance(wish, NewSession | StartRun) for wish in recording.wishes)
    gate.set()
    qtbot.waitUntil(lambda: any(isinstance(wish, StartRun) for wish in recording.wishes))
    assert [type(wish) for wish in recording.wishes if isinstance(wish, NewSession | StartRun)] == [
        NewSession,
        StartRun,
    ]
    assert made_by[0] is not threading.main_thread()


def test_a_window_leaves_the_screen_at_once_and_closes_when_all_is_kept(open_window, qtbot, gate):
    recording = HangingRecording(gate)
    window = open_window(fake_desk(recording))
    window.practise("alder")
    qtbot.waitUntil(lambda: window.workbench.status is not None)
    assert not window.close()
    assert not window.isVisible()
    assert not window.close()  # asked once more, it is still busy
    gate.set()
    qtbot.waitUntil(lambda: window.bridge.gone)
    assert recording.closed


def test_a_slow_port_holds_up_no_file(open_window, qtbot, gate, session_path):
    desk = fake_desk()
    desk[OPEN_BENCH] = lambda url: gate.wait(LONG_S) and FakeRecording()
    window = open_window(desk)
    window.connect_port("/dev/ttySLOW")
    window.open_path(session_path)
    qtbot.waitUntil(lambda: window.session.now is not None, timeout=30000)
    gate.set()


def test_a_session_is_read_only_once_it_is_no_longer_being_closed(open_window, qtbot, gate, session_path, settle):
    recording, read = HangingRecording(gate), []
    desk = fake_desk(recording)
    desk[LOAD] = lambda path: (read.append(recording.closed), load(path))[1]
    window = open_window(desk)
    window.practise("alder")
    qtbot.waitUntil(lambda: window.workbench.status is not None)
    recording.tell(session=str(session_path))
    settle(window)
    window.open_path(session_path)
    settle(window)
    assert read == []
    gate.set()
    qtbot.waitUntil(lambda: window.session.now is not None, timeout=30000)
    assert read == [True]


def test_a_bench_found_after_the_window_closed_is_let_go(open_window, qtbot, gate):
    recording = FakeRecording()

    def open_bench(url):
        assert gate.wait(LONG_S)
        return recording

    desk = fake_desk()
    desk[OPEN_BENCH] = open_bench
    window = open_window(desk)
    window.practise("alder")
    window.close()
    gate.set()
    qtbot.waitUntil(lambda: window.bridge.gone)
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
