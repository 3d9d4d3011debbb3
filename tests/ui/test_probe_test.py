"""A probe tested in the window: where the wire belongs, what was found, and its clock."""

import threading
from types import SimpleNamespace

import pytest
from PySide6.QtCore import Qt

from benchapp.presentation.ground.messages import message_for
from benchapp.presentation.screens.probe_test_words import WORDS
from benchapp.records.clock_check import ClockCheck, ClockProgress
from benchapp.records.errors import PortBusy
from benchapp.records.self_test import LeadTest, SelfTest, SelfTestProgress, SelfTestStep
from tests.ui.fake_bench import CHECK_CLOCK, PORTS, SELF_TEST, fake_desk

PORT = "/dev/ttyUSB0"
D8 = LeadTest(
    index=0, label="D8", driven=200, seen=200, strays=0, mean_ns=0.0, sd_ns=30.0, earliest_ns=0.0, latest_ns=62.5,
    coarse=0, keeps_promise=True,
)  # fmt: skip
FOUND = SelfTest(serial="0123456789ab", program="probe 1.0", tested_on="2026-11-25", leads=(D8,))
WIRE = SelfTestProgress(step=SelfTestStep.JUMPER, drive="D9", left=("D8", "D2"))
MEASURE = SelfTestProgress(step=SelfTestStep.MEASURE, drive="D9", lead="D8", done=50, total=200, left=("D8", "D2"))


class Bench:
    """Stands in for the desk: goes on when it is let, ends as it is told."""

    def __init__(self, *steps, end=FOUND) -> None:
        self.steps, self.end = steps, end
        self.ports = []
        self.go = threading.Event()
        self.stopped = False

    def __call__(self, port, *, tell, stop):
        self.ports.append(port)
        for step in self.steps:
            tell(step)
        while not self.go.wait(0.01):
            if stop():
                self.stopped = True
                break
        if isinstance(self.end, BaseException):
            raise self.end
        return self.end


@pytest.fixture
def opened(open_window, qtbot):
    def opened(*, leads=None, clock=None, seen=True, ports=(PORT,)):
        desk = {
            **fake_desk(),
            PORTS: lambda: [SimpleNamespace(name=name, words="", seen=seen, identified=True) for name in ports],
            SELF_TEST: leads or Bench(),
            CHECK_CLOCK: clock or Bench(),
        }
        window = open_window(desk)
        window.interior.probe_care.show_test()
        page = window.interior.probe_care.testing.page
        qtbot.waitUntil(lambda: page.port_choice.count() == len(ports))
        return window, page

    return opened


def test_the_page_says_where_the_wire_belongs_then_what_was_found_and_that_it_is_kept(opened, qtbot):
    bench = Bench(WIRE)
    _, page = opened(leads=bench)
    page.leads_button.click()
    qtbot.waitUntil(lambda: "Put a wire from D9 straight to one of D8, D2" in page.step.text())
    assert not page.leave_button.isEnabled()
    bench.go.set()
    qtbot.waitUntil(page.result_title.isVisible)
    assert "D8: 200 edges, none lost" in page.result.text()
    assert "0123456789ab" in page.result.text()
    assert bench.ports == [PORT]


def test_measuring_is_counted(opened, qtbot):
    bench = Bench(MEASURE)
    _, page = opened(leads=bench)
    page.leads_button.click()
    qtbot.waitUntil(lambda: "edge 50 of 200" in page.step.text())
    assert (page.bar.value(), page.bar.maximum()) == (50, 200)
    bench.go.set()
    qtbot.waitUntil(page.result_title.isVisible)


def test_stop_keeps_what_was_tested(opened, qtbot):
    bench = Bench(WIRE)
    _, page = opened(leads=bench)
    page.leads_button.click()
    qtbot.waitUntil(lambda: bool(bench.ports))
    page.cancel_button.click()
    assert page.step.text() == WORDS.stopping
    qtbot.waitUntil(page.result_title.isVisible)
    assert bench.stopped
    assert "D8: 200 edges" in page.result.text()


def test_the_clock_is_checked_with_its_uncertainty_and_a_hint_to_warm_up(opened, qtbot):
    check = ClockCheck(
        serial="", error_ppm=812.0, standard_ppm=20.5, expanded_ppm=41.0, span_s=60.0, heartbeats=600,
        tolerance_ppm=5000.0, inside=True, drift_ppm=90.0, drift_standard_ppm=20.0, warming=True,
    )  # fmt: skip
    bench = Bench(ClockProgress(elapsed_s=12.0, total_s=60.0), end=check)
    _, page = opened(clock=bench)
    page.clock_button.click()
    qtbot.waitUntil(lambda: "12 of 60 s" in page.step.text())
    bench.go.set()
    qtbot.waitUntil(page.result_title.isVisible)
    assert "812 ± 41 ppm" in page.result.text()
    assert "still warming up" in page.result.text()


def test_a_port_on_which_no_probe_was_seen_is_not_opened_before_somebody_agreed(opened, qtbot):
    bench = Bench()
    bench.go.set()
    _, page = opened(leads=bench, seen=False)
    assert PORT in page.question.text()
    assert not page.leads_button.isEnabled()
    assert not page.clock_button.isEnabled()
    page.agreed.click()
    page.leads_button.click()
    qtbot.waitUntil(page.result_title.isVisible)


def test_without_a_port_nothing_can_be_begun(opened):
    _, page = opened(ports=())
    assert page.question.text() == WORDS.no_port
    assert not page.leads_button.isEnabled()


def test_what_went_wrong_is_said_and_can_be_tried_again(opened, qtbot):
    error = PortBusy("Another program holds the port.")
    bench = Bench(end=error)
    bench.go.set()
    _, page = opened(leads=bench)
    page.leads_button.click()
    qtbot.waitUntil(lambda: page.result_title.text() == message_for(error).title)
    assert message_for(error).do in page.result.text()
    assert page.leads_button.isEnabled()


def test_by_keyboard_alone(opened, qtbot):
    bench = Bench()
    bench.go.set()
    window, page = opened(leads=bench)
    assert page.leads_button.hasFocus()
    qtbot.keyClick(page.leads_button, Qt.Key.Key_Return)
    qtbot.waitUntil(page.result_title.isVisible)
    page.leave_button.setFocus()
    qtbot.keyClick(page.leave_button, Qt.Key.Key_Return)
    assert window.stage.currentWidget() is window.start


def test_a_window_that_closes_ends_the_test(opened, qtbot):
    bench = Bench(WIRE)
    window, page = opened(leads=bench)
    page.leads_button.click()
    qtbot.waitUntil(lambda: bool(bench.ports))
    window.close()
    assert bench.stopped


def test_the_settings_lead_to_the_page(open_window):
    window = open_window()
    window.show_settings()
    window.pages.settings.test_button.click()
    assert window.stage.currentWidget() is window.interior.probe_care.testing.page
