"""The page that puts the probe program on a board: asks, counts, greets, and says how the board is when it fails."""

from threading import Event
from types import SimpleNamespace

import pytest
from PySide6.QtCore import Qt

from benchapp.records.errors import NoProbeProgram, OldProbeProgram, StoppedByHand, UploadBroken
from benchapp.records.probe_install import Installed, InstallProgress, InstallStep
from benchapp.ui.kept.steps import Step
from tests.ui.fake_bench import BOARD, INSTALL_PROBE, IS_SEEN, OPEN_BENCH, PORTS, FakeRecording, fake_desk

PORT = "/dev/ttyACM0"
INSTALLED = Installed(port=PORT, file="probe.hex", sha256="0" * 64, size_bytes=7744, board=BOARD)


@pytest.fixture
def at_install(open_window, qtbot):
    """Return a window on the page, with a desk that installs as the test says."""

    def at_install(work, *, seen=True):
        desk = fake_desk(FakeRecording())
        desk[PORTS] = lambda: [SimpleNamespace(name=PORT, words="A board", seen=seen, identified=True)]
        desk[IS_SEEN] = lambda port: seen
        desk[INSTALL_PROBE] = work
        window = open_window(desk)
        window.show_settings()
        window.pages.settings.install_button.click()
        page = window.interior.probe_care.installing.page
        qtbot.waitUntil(lambda: page.port() == PORT)
        return window, page

    return at_install


def test_pages_are_counted_and_the_new_program_is_greeted_and_connected_by_keyboard(at_install, qtbot):
    go_on = Event()

    def work(port, tell, stop):
        tell(InstallProgress(step=InstallStep.WRITE, done=7, total=61))
        assert go_on.wait(10)
        return INSTALLED

    window, page = at_install(work)
    assert page.port_choice.currentText() == f"A board ({PORT})"
    qtbot.keyClick(window, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: page.step.text() == "Writing, page 7 of 61", timeout=5000)
    assert 0 < page.bar.value() < 60
    assert not page.leave_button.isEnabled()
    go_on.set()
    qtbot.waitUntil(page.connect_button.isVisible, timeout=5000)
    assert "7744 bytes written and read back alike" in page.result.text()
    assert not window.interior.probe_care.installing.work.busy
    qtbot.keyClick(window, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: window.workbench.status is not None, timeout=5000)
    assert window.step is Step.LEADS


def test_a_board_never_seen_is_not_reset_before_somebody_agreed(at_install):
    begun = []
    window, page = at_install(lambda port, tell, stop: begun.append(port), seen=False)
    assert "No probe has been seen" in page.question.text()
    assert not page.install_button.isEnabled()
    page.install_button.click()
    assert begun == []
    assert not window.interior.probe_care.installing.work.busy
    page.agreed.click()
    assert page.install_button.isEnabled()


def test_a_failure_says_how_the_board_is_and_what_to_do_and_can_be_tried_again(at_install, qtbot):
    faults = [UploadBroken("Page 3 was not answered.", kept="The board holds a part of the program.")]

    def work(port, tell, stop):
        if faults:
            raise faults.pop()
        return INSTALLED

    _window, page = at_install(work)
    page.install_button.click()
    qtbot.waitUntil(page.result.isVisible, timeout=5000)
    said = page.result.text()
    assert "Page 3 was not answered." in said
    assert "The board holds a part of the program." in said
    assert "reset button" in said
    assert page.install_button.text() == "Try again"
    page.install_button.click()
    qtbot.waitUntil(page.connect_button.isVisible, timeout=5000)


@pytest.mark.parametrize("way", ["button", "closing"])
def test_cancel_stops_the_worker_between_two_pages(at_install, qtbot, way):
    asked = Event()

    def work(port, tell, stop):
        while not stop():
            asked.wait(0.01)
        asked.set()
        raise StoppedByHand("Stopped.", kept="The board was not changed.")

    window, page = at_install(work)
    page.install_button.click()
    assert page.cancel_button.isVisible()
    if way == "closing":
        window.close()
    else:
        page.cancel_button.click()
        qtbot.waitUntil(page.result.isVisible, timeout=5000)
        assert "The board was not changed." in page.result.text()
    assert asked.is_set()
    assert not window.interior.probe_care.installing.work.busy


@pytest.mark.parametrize("fault", [NoProbeProgram, OldProbeProgram])
def test_a_port_without_the_program_or_with_an_old_one_offers_to_install_it(at_install, qtbot, fault, monkeypatch):
    window, page = at_install(lambda port, tell, stop: INSTALLED)
    window.go(Step.START)

    def refuse(url):
        raise fault("Nothing answered.")

    monkeypatch.setattr(OPEN_BENCH, refuse)
    window.connect_port(PORT)
    qtbot.waitUntil(window.banner.isVisible, timeout=5000)
    (offer,) = [b for b in window.banner.findChildren(type(page.install_button)) if "Install" in b.text()]
    offer.click()
    assert window.stage.currentWidget() is page
    assert page.port() == PORT


def test_a_port_never_seen_is_opened_only_after_somebody_agreed(at_install, qtbot, monkeypatch):
    window, _page = at_install(lambda port, tell, stop: INSTALLED, seen=False)
    opened = []
    monkeypatch.setattr(OPEN_BENCH, lambda url: opened.append(url) or FakeRecording())
    window.go(Step.START)
    window.start.port_choice.setCurrentText(PORT)
    window.start.connect_button.click()
    card = window.start.ask_card
    qtbot.waitUntil(card.isVisible)
    assert "can reset the board" in card.question.text()
    qtbot.keyClick(card.leave_button, Qt.Key.Key_Return)
    assert not card.isVisible()
    window.start.connect_button.click()
    qtbot.waitUntil(card.isVisible)
    assert opened == []
    card.open_button.click()
    qtbot.waitUntil(lambda: window.workbench.status is not None, timeout=5000)
    assert opened == [PORT]
