"""Faults nobody foresaw."""

import gc
import logging
import sys
import threading

import pytest
from PySide6.QtCore import QCoreApplication, QObject, QTimer, Signal, Slot

from benchapp.app.cycle_collector import CycleCollector
from benchapp.app.fault_net import FaultNet
from benchapp.app.log_file import log_folder, start_log, stop_log


@pytest.fixture
def net(tmp_path):
    made = FaultNet()
    hooks = sys.excepthook, threading.excepthook
    made.install(tmp_path / "state" / "crash.txt")
    yield made
    made.remove()
    sys.excepthook, threading.excepthook = hooks


def fail():
    raise RuntimeError("nobody foresaw this")


def test_a_fault_in_a_thread_is_kept_for_the_window(net):
    thread = threading.Thread(target=fail)
    thread.start()
    thread.join()
    assert str(net.take()) == "nobody foresaw this"


def test_a_fault_is_shown_once_however_many_follow(net):
    for _ in range(3):
        sys.excepthook(RuntimeError, RuntimeError("again"), None)
    assert net.take() is not None
    assert net.take() is None


class Failing(QObject):
    asked = Signal()

    def __init__(self):
        super().__init__()
        self.asked.connect(self.fail)

    @Slot()
    def fail(self):
        fail()


@pytest.mark.qt_no_exception_capture
def test_a_fault_in_a_slot_is_kept_and_the_program_goes_on(net, qapp):
    failing = Failing()
    failing.asked.emit()
    QTimer.singleShot(0, failing.fail)
    QCoreApplication.processEvents()
    assert str(net.take()) == "nobody foresaw this"
    failing.deleteLater()


def test_the_log_holds_the_fault_and_stays_in_its_place(net, tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "s"))
    handler = start_log()
    try:
        sys.excepthook(RuntimeError, RuntimeError("written down"), None)
    finally:
        stop_log(handler)
    assert log_folder().is_relative_to(tmp_path)
    assert "written down" in (log_folder() / "benchapp.log").read_text()
    assert not logging.getLogger("benchapp").handlers


def test_cycles_are_collected_by_the_window_s_own_thread_only(qapp):
    parent = QObject()
    collector = CycleCollector(parent)
    try:
        assert not gc.isenabled()
        seen = []

        class Cyclic:
            def __init__(self):
                self.me = self

            def __del__(self):
                seen.append(threading.current_thread())

        def churn():
            for _ in range(5000):
                Cyclic()

        thread = threading.Thread(target=churn)
        thread.start()
        thread.join()
        assert seen == []
        collector.collect()
        assert len(seen) == 5000
        assert set(seen) == {threading.main_thread()}
    finally:
        collector.stop()
        parent.deleteLater()
    assert gc.isenabled()


def test_a_thousand_void_calls_leave_the_count_of_none_alone(qapp):
    # a pairing of Qt and Python once gave a reference to None away with every such call, until it died
    widget = QObject()
    before = sys.getrefcount(None)
    for _ in range(1000):
        widget.setObjectName("x")
        widget.blockSignals(False)
        QCoreApplication.processEvents()
    assert abs(sys.getrefcount(None) - before) <= 50
