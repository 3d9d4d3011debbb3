"""A port or a file that another program holds, and a folder that takes nothing: said in words, nothing lost."""

import sys
from pathlib import Path

import pytest

from benchapp.acquisition.wishes import StartRun
from benchapp.desk.bench import open_bench
from benchapp.presentation.ground.messages import CATALOGUE
from benchapp.probe.opening import open_link
from benchapp.records.errors import DiskTrouble, PortBusy, PortGone
from benchapp.sessions.lock import take_lock
from benchapp.sessions.opening import open_session
from benchapp.ui.kept.settings import usual_session_folder
from benchapp.ui.kept.steps import Step
from tests.desk.stopped_session import stopped_early
from tests.probe.pty_peer import LiveProbe, peer
from tests.ui.fake_bench import OPEN_BENCH, fake_desk
from tests.ui.test_start import wait_open

only_linux = pytest.mark.skipif(not sys.platform.startswith("linux"), reason="pseudo-terminals as Linux has them")


@pytest.fixture
def real_bench(open_window):
    """Return a window whose bench is the real one."""

    def real_bench():
        desk = fake_desk()
        desk[OPEN_BENCH] = open_bench
        return open_window(desk)

    return real_bench


@only_linux
def test_a_port_another_copy_holds_is_in_use_and_practice_and_open_stay_offered(real_bench, qtbot):
    probe = LiveProbe()
    with peer(probe.hear, probe.play) as played:
        first = open_link(played.port)
        try:
            window = real_bench()
            window.connect_port(played.port)
            qtbot.waitUntil(window.banner.isVisible, timeout=20000)
        finally:
            first.close()
    said = window.banner.message
    assert said.title == CATALOGUE[PortBusy].title
    assert played.port in said.details
    assert "Errno" not in said.details
    assert window.start.practise_button.isEnabled()
    assert window.start.open_button.isEnabled()
    assert window.workbench.status is None


@only_linux
def test_a_port_that_is_not_there_says_so_and_asks_for_the_plug(real_bench, qtbot):
    window = real_bench()
    window.connect_port("/dev/ttyNotThere")
    qtbot.waitUntil(window.banner.isVisible, timeout=20000)
    assert window.banner.title.text() == CATALOGUE[PortGone].title
    assert "Plug the probe in again" in window.banner.body.text()


def test_a_session_another_copy_records_is_opened_for_reading_and_left_as_it_is(open_window, qtbot):
    folder = usual_session_folder()
    folder.mkdir(parents=True)
    path = stopped_early(folder / "running.t2h")
    held = take_lock(path)
    try:
        before = {file.name: file.read_bytes() for file in folder.glob("*.t2h*") if not file.name.endswith("-shm")}
        window = open_window()
        window.open_path(path)
        wait_open(window, qtbot)
        assert window.step is Step.FINDINGS
        window.go(Step.START)
        window.start.recent_card.delete_button.click()
        qtbot.waitUntil(lambda: "is being recorded" in window.banner.details.text(), timeout=10000)
        assert path.exists()
        after = {file.name: file.read_bytes() for file in folder.glob("*.t2h*") if not file.name.endswith("-shm")}
        assert after == before
    finally:
        held.release()
    assert not open_session(path).closed


@pytest.mark.skipif(not Path("/sys/kernel").is_dir(), reason="needs a folder that takes nothing, whoever asks")
def test_a_folder_that_may_only_be_read_is_said_and_no_run_begins(practising, settle):
    window, recording = practising()
    window.memory.change(session_folder="/sys/kernel/benchapp")
    window.workbench.confirm("practice", yes=True)
    before = len(recording.wishes)
    window.workbench.start_run(StartRun())
    settle(window)
    assert window.banner.title.text() == CATALOGUE[DiskTrouble].title
    assert "/sys/kernel/benchapp" in window.banner.details.text()
    assert not any(isinstance(wish, StartRun) for wish in recording.wishes[before:])
