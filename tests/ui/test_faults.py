"""What the window says, keeps and survives when the bench fails in a run: real threads, a real file."""

import errno
import os
import time
from pathlib import Path

import pytest
from PySide6.QtCore import Qt

from benchapp.acquisition.recording import Recording, create_session
from benchapp.acquisition.wishes import StartRun
from benchapp.desk.loading import load
from benchapp.presentation.ground.messages import message_for
from benchapp.presentation.ground.run_words import STOPS
from benchapp.probe.opening import open_link
from benchapp.procedures.ground.progress import StopReason
from benchapp.records.errors import DiskTrouble, PortGone
from benchapp.records.run import Outcome, RunSettings
from benchapp.sessions.opening import open_session
from benchapp.ui.kept.steps import Step
from tests.acquisition.fakes import TestClocks, WatchedLink, draw
from tests.ui.fake_bench import fake_desk


@pytest.fixture
def bench(open_window, qtbot, tmp_path):
    """Return a window on a bench at its real pace, in a run; trouble(reads) is called before every read of the link."""

    def bench(trouble, *, clocks=None, create=None, again=None):
        plugged = []

        def open_it():
            if plugged and again is not None:
                again()
            plugged.append(True)
            return WatchedLink(open_link("practice://alder?flips=golden", pace="real"), trouble)

        options = {"clocks": clocks} if clocks else {}
        options |= {"create": create} if create else {}
        recording = Recording(open_it, software="test", draw=draw, patient=True, watched=True, **options)
        recording.start()
        assert recording.wait_until_open(30)
        window = open_window(fake_desk(recording))
        window.practise("alder")
        qtbot.waitUntil(lambda: window.workbench.status is not None, timeout=5000)
        window.workbench.confirm("practice", yes=True)
        window.go(Step.TESTS)
        qtbot.waitUntil(window.pages.tests.choice.start_button.isEnabled, timeout=5000)
        window.workbench.start_run(StartRun(settings=RunSettings(flips=2000)))
        qtbot.waitUntil(lambda: window.workbench.running, timeout=5000)
        return window, recording

    return bench


class Switchable:
    """A trouble that begins when it is told to."""

    def __init__(self, error):
        self.error, self.on = error, False

    def __call__(self, reads):
        if self.on:
            raise self.error


def ended(window):
    return bool(window.workbench.status.run and window.workbench.status.run.outcome)


def kept_run(path):
    loaded = load(path)
    assert not loaded.facts.damage
    return loaded.findings.runs[0]


def test_a_pulled_cable_and_the_same_probe_back_are_said_and_nothing_is_lost(bench, qtbot):
    cable = Switchable(PortGone("The port went away."))
    window, _ = bench(cable, again=lambda: cable(0))
    qtbot.waitUntil(lambda: window.workbench.status.run.flips >= 2, timeout=15000)
    session = window.workbench.status.session
    cable.on = True
    qtbot.waitUntil(window.banner.isVisible, timeout=5000)
    assert window.banner.title.text() == "The probe was lost"
    assert session in window.banner.body.text()
    assert "probe lost" in window.strip.state.text()
    qtbot.waitUntil(lambda: ended(window), timeout=5000)
    assert STOPS[StopReason.PROBE_LOST] in window.pages.tests.run.sentence_line.text()
    cable.on = False
    qtbot.waitUntil(lambda: not window.banner.isVisible(), timeout=15000)
    qtbot.waitUntil(lambda: "recording" in window.strip.state.text(), timeout=5000)
    window.close()
    run = kept_run(Path(session))
    assert run.outcome is Outcome.CUT_SHORT
    assert run.result.flips >= 2
    kept = open_session(Path(session))
    first, second = kept.stretches  # what the probe sent after it was back is a stretch of its own, never joined
    assert first.number != second.number
    assert [evidence.stop_ns <= second.origin_ns for evidence in kept.runs()] == [True]


def test_a_computer_that_slept_ends_the_run_in_words_and_the_window_goes_on(bench, qtbot):
    class Sleeping(TestClocks):
        def monotonic_ns(self):
            return time.monotonic_ns()

    clocks = Sleeping()
    window, _ = bench(lambda reads: None, clocks=clocks)
    qtbot.waitUntil(lambda: window.workbench.status.run.flips >= 1, timeout=15000)
    clocks.slept_ns += 3600 * 1_000_000_000
    qtbot.waitUntil(lambda: ended(window), timeout=5000)
    qtbot.waitUntil(
        lambda: STOPS[StopReason.COMPUTER_SLEPT] in window.pages.tests.run.sentence_line.text(), timeout=3000
    )
    assert window.pages.tests.run.again_button.isVisible()
    assert window.isVisible()


class FullDisk:
    """A real session file on a disk that is full from one commit on."""

    def __init__(self, store):
        self._store, self.full = store, False

    def __getattr__(self, name):
        return getattr(self._store, name)

    def commit(self):
        if self.full:
            raise DiskTrouble("There is no room left on the disk: 24 MB more are needed.")
        return self._store.commit()


def test_a_full_disk_ends_the_run_says_so_and_the_live_view_goes_on(bench, qtbot):
    disks = []

    def create(start):
        disks.append(FullDisk(create_session(start)))
        return disks[-1]

    window, _ = bench(lambda reads: None, create=create)
    qtbot.waitUntil(lambda: window.workbench.status.saved_records > 0, timeout=15000)
    disks[0].full = True
    qtbot.waitUntil(window.banner.isVisible, timeout=10000)
    assert window.banner.title.text() == "The disk would not take it"
    assert "records are safe in" in window.banner.body.text()
    assert "24 MB more" in window.banner.details.text()
    assert ended(window)
    assert STOPS[StopReason.DISK_TROUBLE] in window.pages.tests.run.sentence_line.text()
    before = window.workbench.live.newest_ns
    qtbot.waitUntil(lambda: window.workbench.live.newest_ns > before, timeout=5000)


def test_a_folder_that_cannot_be_made_is_said_and_no_run_begins(practising, qtbot, tmp_path, monkeypatch):
    blocked = tmp_path / "not a folder"
    blocked.write_text("")
    window, recording = practising()
    monkeypatch.setattr(window.workbench, "_folder", lambda: blocked / "sessions")
    window.workbench.confirm("practice", yes=True)
    before = len(recording.wishes)
    window.workbench.start_run(StartRun())
    qtbot.waitUntil(window.banner.isVisible)
    assert not any(isinstance(wish, StartRun) for wish in recording.wishes[before:])
    assert window.banner.title.text() != "Something happened that this program did not expect"


def test_a_folder_that_vanished_is_made_again_for_the_next_session(practising, qtbot, tmp_path):
    window, recording = practising()
    window.workbench.confirm("practice", yes=True)
    window.workbench.start_run(StartRun())
    qtbot.waitUntil(lambda: recording.now.session != "")
    folder = tmp_path / "data" / "benchapp" / "sessions"
    folder.rmdir()
    recording.tell(session="")
    window.workbench.status = recording.status()
    window.workbench.start_run(StartRun())
    qtbot.waitUntil(folder.is_dir)


@pytest.mark.parametrize("number", [errno.ENOSPC, errno.EACCES, errno.EROFS])
def test_an_error_of_the_disk_is_not_called_unexpected(number):
    said = message_for(OSError(number, os.strerror(number), "/somewhere/else"))
    assert said.title == "The disk would not take it"
    assert "Errno" not in said.details


def test_escape_stops_the_run_while_a_banner_is_shown(practising, settle, qtbot):
    window, recording = practising()
    window.workbench.confirm("practice", yes=True)
    window.go(Step.TESTS)
    settle(window)
    window.pages.tests.choice.start_button.click()
    settle(window)
    recording.tell(message="No.", trouble="DiskTrouble")
    settle(window)
    qtbot.keyClick(window.pages.tests.run, Qt.Key.Key_Escape)
    qtbot.keyClick(window.pages.tests.run, Qt.Key.Key_Escape)
    assert type(recording.wishes[-1]).__name__ == "StopRun"


def test_a_session_taken_away_in_a_run_is_said_at_once_and_the_run_goes_on_in_a_new_file(bench, qtbot):
    window, recording = bench(lambda reads: None)
    qtbot.waitUntil(lambda: window.workbench.status.saved_records > 0, timeout=15000)
    path = Path(window.workbench.status.session)
    path.unlink()
    qtbot.waitUntil(window.banner.isVisible, timeout=10000)
    assert window.banner.title.text() == "The session's file was taken away"
    new = Path(window.workbench.status.session)
    assert new != path
    assert f"The recording goes on in {new}" in window.banner.body.text()
    assert window.workbench.running
    recording.close()
    assert open_session(new).closed
    assert not path.exists()
