"""A port that may not be opened: what to do stands on the page, to copy, and it is looked at until it may be."""

import threading

import pytest
from PySide6.QtWidgets import QApplication

from benchapp.desk.port_permission import PermissionHelp
from benchapp.records.errors import PortNotAllowed
from benchapp.ui.kept.steps import Step
from benchapp.ui.window.port_watch import EVERY_MS
from tests.ui.fake_bench import CAN_OPEN, OPEN_BENCH, PERMISSION_HELP, FakeRecording, fake_desk
from tests.ui.visits import NOT_ALLOWED

PORT = NOT_ALLOWED.port


@pytest.fixture
def refused(open_window, qtbot):
    """Return a window whose port is not allowed until `may` holds True, and the looks at it, with whether the window's
    own thread looked.
    """

    def refused(offered=NOT_ALLOWED):
        may, looks = [], []

        def open_bench(url):
            if not may:
                raise PortNotAllowed("This user may not open /dev/ttyACM0.")
            return FakeRecording()

        def can_open(port):
            looks.append((port, threading.current_thread() is threading.main_thread()))
            return bool(may)

        desk = fake_desk()
        desk[OPEN_BENCH] = open_bench
        desk[PERMISSION_HELP] = lambda port: offered
        desk[CAN_OPEN] = can_open
        window = open_window(desk)
        window.connect_port(PORT)
        qtbot.waitUntil(window.start.permission.isVisible, timeout=5000)
        return window, may, looks

    return refused


def test_the_rule_and_the_group_stand_on_the_page_and_are_copied_whole(refused):
    window, _, _ = refused()
    card = window.start.permission
    assert window.banner.title.text() == "You may not open this port"
    assert card.title.text() == f"You may not open {PORT}"
    assert card.rule.text() == NOT_ALLOWED.rule_commands.strip()
    card.copy_rule.click()
    assert QApplication.clipboard().text() == NOT_ALLOWED.rule_commands
    card.copy_group.click()
    assert QApplication.clipboard().text() == NOT_ALLOWED.group_command + "\n"
    assert "Errno" not in window.banner.details.text() + card.rule.text()


def test_the_port_is_looked_at_and_connected_as_soon_as_it_may_be_opened(refused, qtbot):
    window, may, looks = refused()
    assert EVERY_MS == 2000
    window.port_watch.look()
    qtbot.waitUntil(lambda: looks == [(PORT, False)])
    assert window.workbench.status is None
    may.append(True)
    window.port_watch.look()
    qtbot.waitUntil(lambda: window.workbench.status is not None, timeout=5000)
    assert window.step is Step.LEADS
    assert not window.port_watch.watching
    assert not window.start.permission.isVisible()


def test_whoever_leaves_it_or_begins_otherwise_is_not_watched_any_more(refused, qtbot):
    window, _, _ = refused()
    assert window.port_watch.watching
    window.start.permission.leave_button.click()
    assert not window.start.permission.isVisible()
    assert not window.port_watch.watching
    window.connect_port(PORT)
    qtbot.waitUntil(window.start.permission.isVisible, timeout=5000)
    window.practise("alder")
    assert not window.port_watch.watching


def test_nothing_opens_by_itself_while_another_page_is_shown(refused, qtbot):
    window, may, looks = refused()
    window.go(Step.FINDINGS)
    assert not window.port_watch.watching
    may.append(True)
    window.go(Step.START)
    assert window.port_watch.watching
    assert window.start.permission.isVisible()
    window.port_watch.look()
    qtbot.waitUntil(lambda: window.workbench.status is not None, timeout=5000)
    assert looks == [(PORT, False)]


def test_where_neither_rule_nor_group_would_help_somebody_is_to_be_asked(refused):
    window, _, _ = refused(PermissionHelp(port=PORT))
    card = window.start.permission
    assert card.neither.isVisible()
    for part in (card.rule, card.copy_rule, card.group, card.copy_group):
        assert not part.isVisible()
