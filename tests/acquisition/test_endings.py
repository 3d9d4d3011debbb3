"""Nothing waits without limit, and what nobody foresaw ends a run with a word."""

import threading
from types import SimpleNamespace

import pytest

from benchapp.acquisition.recording import LONGEST_CLOSE_S
from benchapp.acquisition.status import LinkState
from benchapp.acquisition.writer import Writer
from benchapp.desk import bench as desk_bench
from benchapp.desk import recording as desk_recording
from benchapp.desk.loading import load
from benchapp.desk.recording import RecordOrder, record
from benchapp.probe.opening import open_link
from benchapp.procedures.ground.procedure import Procedure
from benchapp.records.errors import DiskTrouble, PortGone, SystemTrouble
from benchapp.records.events import EventKind
from benchapp.records.run import Outcome, RunSettings
from benchapp.sessions.opening import open_session
from tests.acquisition.fakes import (
    LONG_S,
    OPENED,
    MemoryStore,
    TestClocks,
    WatchedLink,
    ask_for_run,
    finish,
    practice,
    start_of,
)

ALDER = "practice://alder?seed=11"
SHORT_S = 1.0  # no less: beginning must fit into it on a busy computer


@pytest.fixture
def gate():
    """Something that hangs until the test is over."""
    event = threading.Event()
    yield event
    event.set()


@pytest.fixture(autouse=True)
def every_thread_ends(gate):
    before = set(threading.enumerate())
    yield
    gate.set()
    while OPENED:
        OPENED.pop().close()
    for thread in set(threading.enumerate()) - before:
        thread.join(LONG_S)
        assert not thread.is_alive()


class Unforeseen(Exception):
    """What nobody thought of."""


def hanging_writer(gate, **options) -> tuple[Writer, MemoryStore]:
    store = MemoryStore(blocked=gate)
    writer = Writer(lambda start: store, TestClocks(), **{"ask_s": SHORT_S, "quit_s": SHORT_S, **options})
    writer.start()
    writer.begin(start_of())
    writer.commit()
    assert store.entered.wait(LONG_S)
    return writer, store


# The disk --------------------------------------------------------------------------------------------------------


def test_closing_a_session_on_a_disk_that_hangs_is_given_up_and_said(gate):
    writer, _ = hanging_writer(gate)
    writer.close_session()
    assert isinstance(writer.trouble, DiskTrouble)
    assert "did not answer for 1 s when asked to close the session file" in writer.trouble.message
    writer.quit()


def test_a_slow_disk_that_goes_on_taking_what_it_is_given_is_waited_for(monkeypatch):
    """Three commits of nine tenths of the patience each: only the time since the last one counts."""
    now_s, taken, go_on = [100.0], threading.Semaphore(0), threading.Semaphore(0)
    monkeypatch.setattr("benchapp.acquisition.writer.time", SimpleNamespace(monotonic=lambda: now_s[0]))

    class SlowStore(MemoryStore):
        def commit(self) -> int:
            taken.release()
            assert go_on.acquire(timeout=LONG_S)
            return super().commit()

    writer = Writer(lambda start: SlowStore(), TestClocks(), ask_s=SHORT_S)
    writer.start()
    writer.begin(start_of())
    for _ in range(3):
        writer.commit()
    closing = threading.Thread(target=writer.close_session)
    closing.start()
    for _ in range(4):  # closing commits once more
        assert taken.acquire(timeout=LONG_S)
        now_s[0] += 0.9 * SHORT_S
        go_on.release()
    closing.join(LONG_S)
    assert not closing.is_alive()
    assert writer.trouble is None
    writer.quit()


def test_quitting_on_a_disk_that_hangs_is_given_up_and_said(gate):
    writer, _ = hanging_writer(gate)
    writer.quit()
    assert "when asked to end the recording" in writer.trouble.message


def test_a_session_whose_folder_hangs_is_refused_and_let_go_once_it_comes(gate):
    store, come = MemoryStore(), threading.Event()

    def create(start):
        come.set()
        assert gate.wait(LONG_S)
        return store

    writer = Writer(create, TestClocks(), ask_s=SHORT_S)
    writer.start()
    with pytest.raises(DiskTrouble, match="when asked to begin the session file"):
        writer.begin(start_of())
    assert come.is_set()
    gate.set()
    writer.quit()
    assert store.abandoned


def test_a_disk_that_hangs_is_counted_from_when_it_was_asked(gate):
    clocks, store = TestClocks(), MemoryStore(blocked=gate)
    writer = Writer(lambda start: store, clocks)
    writer.start()
    writer.begin(start_of())
    assert writer.silent_ns == 0
    writer.commit()
    assert store.entered.wait(LONG_S)
    clocks.now_ns += 3_000_000_000
    assert writer.silent_ns == 3_000_000_000
    gate.set()
    writer.close_session()
    assert writer.silent_ns == 0
    writer.quit()


def test_a_recording_says_after_two_seconds_that_the_disk_is_silent(gate, tmp_path):
    clocks, store = TestClocks(), MemoryStore(blocked=gate)
    recording = practice(ALDER, create=lambda start: store, clocks=clocks, patient=True)
    ask_for_run(recording, tmp_path / "a.t2h", flips=100_000, alone=False)
    recording.start()
    clocks.now_ns += 1_000_000_000  # a commit is due
    assert store.entered.wait(LONG_S)
    assert recording.status().disk_silent_s is None
    clocks.now_ns += 3_000_000_000
    assert recording.status().disk_silent_s == pytest.approx(3.0)
    gate.set()


def test_closing_a_recording_takes_no_longer_than_it_may(gate):
    assert LONGEST_CLOSE_S == 20.0  # the bound the bench was promised

    hangs = threading.Event()

    def hang(reads: int) -> None:
        if reads == 100:
            hangs.set()
            assert gate.wait(LONG_S)

    recording = practice(lambda: WatchedLink(open_link(ALDER), hang), patient=True)
    recording.start()
    assert hangs.wait(LONG_S)
    recording.close(longest_s=SHORT_S)
    assert isinstance(recording.failure, PortGone)
    assert "practice bench, radio Alder did not come back for 1 s" in recording.failure.message
    recording.close()  # a second time it is not waited for again


# The port --------------------------------------------------------------------------------------------------------


def test_a_port_that_never_opens_is_said_and_left(gate, monkeypatch):
    monkeypatch.setattr(desk_bench, "_LONGEST_WAIT_S", SHORT_S)
    monkeypatch.setattr(desk_bench, "follow_link", lambda url, pace: lambda: gate.wait(LONG_S) and open_link(ALDER))
    with pytest.raises(PortGone, match=r"could not be opened within 1 s"):
        desk_bench.open_bench("/dev/ttyNONE")


def order(out, **settings) -> RecordOrder:
    return RecordOrder(
        probe=ALDER, test="switch-flip", out=out, settings=RunSettings(**settings), confirmed=("practice",)
    )


def test_a_port_that_hangs_in_a_run_without_a_window_ends_it_with_a_word(gate, tmp_path, monkeypatch):
    def hang(reads: int) -> None:
        if reads == 100:
            assert gate.wait(LONG_S)

    usual = desk_recording.Recording.close
    monkeypatch.setattr(desk_recording, "LONGEST_STEP_S", SHORT_S)
    monkeypatch.setattr(
        desk_recording, "open_link", lambda url, pace, truth: WatchedLink(open_link(url, pace=pace), hang)
    )
    monkeypatch.setattr(desk_recording.Recording, "close", lambda self: usual(self, SHORT_S))
    with pytest.raises(PortGone, match="did not come back for"):
        record(order(tmp_path / "a.t2h", flips=100_000), lambda status: None)


# What nobody foresaw -----------------------------------------------------------------------------------------------


@pytest.mark.filterwarnings("ignore::pytest.PytestUnhandledThreadExceptionWarning")
def test_a_fault_in_the_machine_of_the_test_ends_the_run_with_a_word(tmp_path, monkeypatch):
    usual = Procedure.see

    def see(self, records, now_ns):
        if now_ns > 8_000_000_000:
            raise Unforeseen
        return usual(self, records, now_ns)

    monkeypatch.setattr(Procedure, "see", see)
    recorded = record(order(tmp_path / "a.t2h", flips=100_000), lambda status: None)
    assert isinstance(recorded.trouble, SystemTrouble)
    assert "did not expect (Unforeseen)" in recorded.trouble.message
    assert recorded.trouble.status == 3
    loaded = load(tmp_path / "a.t2h")
    assert loaded.kept == ""  # the file was closed as always
    assert loaded.runs[0].outcome is Outcome.CUT_SHORT
    stops = [
        dict(event.detail) for event in open_session(tmp_path / "a.t2h").events if event.kind is EventKind.RUN_STOP
    ]
    assert [stop["reason"] for stop in stops] == ["unforeseen"]


@pytest.mark.filterwarnings("ignore::pytest.PytestUnhandledThreadExceptionWarning")
def test_a_machine_that_cannot_even_end_its_run_is_cut_short_for_it(tmp_path, monkeypatch):
    usual = Procedure.see

    def fail(*_):
        raise Unforeseen

    def see(self, records, now_ns):
        return usual(self, records, now_ns) if now_ns < 8_000_000_000 else fail()

    monkeypatch.setattr(Procedure, "see", see)
    monkeypatch.setattr(Procedure, "finish", fail)
    with pytest.raises(SystemTrouble, match="did not expect"):
        record(order(tmp_path / "a.t2h", flips=100_000), lambda status: None)
    loaded = load(tmp_path / "a.t2h")
    assert loaded.kept == ""
    assert loaded.runs[0].outcome is Outcome.CUT_SHORT


@pytest.mark.parametrize("when", ["commit", "close", "add_record"])
def test_a_fault_in_the_writing_ends_the_run_with_a_word(tmp_path, monkeypatch, when):
    def fail(*_):
        raise Unforeseen

    store = MemoryStore()
    recording = practice(ALDER, create=lambda start: store)
    monkeypatch.setattr(store, when, fail)
    ask_for_run(recording, tmp_path / "a.t2h", flips=2)
    finish(recording)
    assert isinstance(recording.failure, SystemTrouble)
    assert "Writing the session stopped at something this program did not expect (Unforeseen)" in str(recording.failure)
    assert store.abandoned
    assert recording.status().link is LinkState.CLOSED


@pytest.mark.filterwarnings("ignore::pytest.PytestUnhandledThreadExceptionWarning")
def test_a_link_that_fails_in_an_unforeseen_way_even_at_its_end_leaves_nobody_waiting(monkeypatch):
    def fail(*_):
        raise Unforeseen

    link = WatchedLink(open_link(ALDER), lambda reads: fail() if reads == 100 else None)
    monkeypatch.setattr(link, "close", fail)
    recording = practice(lambda: link, patient=True)
    recording.start()
    assert recording.wait_until_finished(LONG_S)
    assert isinstance(recording.failure, SystemTrouble)
    assert recording.status().trouble == "SystemTrouble"  # for a window to show
