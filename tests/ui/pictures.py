"""Takes a picture of every screen and state in both themes: python -m tests.ui.pictures FOLDER [WORD …]"""

import os
import sys
import tempfile
import time
from pathlib import Path

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

import pytest
from PySide6.QtCore import QEvent, QEventLoop
from PySide6.QtWidgets import QApplication

from benchapp.acquisition.status import LinkState
from benchapp.desk.exporting import export
from benchapp.presentation.ground.messages import message_for
from benchapp.presentation.screens.shelf_words import GONE
from benchapp.procedures.gate import OnBench, Refusal, Why, needed_lines
from benchapp.procedures.ground.progress import Prompt, StopReason
from benchapp.records.errors import PortNotAllowed
from benchapp.records.run import Origin
from benchapp.records.stream import Gap
from benchapp.ui.kept.recents import Recent
from benchapp.ui.kept.settings import SettingsStore
from benchapp.ui.kept.steps import Step
from benchapp.ui.look.theme import Theme, apply_theme
from benchapp.ui.look.tokens import DARK, LIGHT
from benchapp.ui.window.main_window import MainWindow
from tests.ui.conftest import LONGEST_WORK_S
from tests.ui.fake_bench import FakeRecording, bug_details, edges, fake_desk, pulses
from tests.ui.fake_stick import STICK_LEADS
from tests.ui.made_flips import with_flips
from tests.ui.made_sessions import made_session, made_stick_session
from tests.ui.page_pictures import page_pictures
from tests.ui.shell_pictures import large_pictures, message_pictures
from tests.ui.stick_pictures import stick_choice_pictures, stick_run_pictures

SIZE = (1280, 720)
SECOND = 1_000_000_000


class Camera:
    """One window in one theme, and where its pictures go."""

    def __init__(self, app, tokens, folder: Path, wanted) -> None:
        self.app, self.tokens, self.folder, self.wanted = app, tokens, folder, wanted
        self.theme = Theme()
        self.patch = pytest.MonkeyPatch()
        apply_theme(app, self.theme, tokens)

    def window(self, recording=None) -> MainWindow:
        store = SettingsStore(Path(tempfile.mkdtemp()) / "settings.ini")
        for place, function in fake_desk(recording).items():
            self.patch.setattr(place, function)
        window = MainWindow(self.theme, store, bug_details=bug_details)
        window.resize(*SIZE)
        window.show()
        window.activateWindow()
        self.settle(window)
        return window

    def settle(self, window) -> None:
        until_s = time.monotonic() + LONGEST_WORK_S
        while window.bridge.busy and time.monotonic() < until_s:  # what hangs or is long is not waited for
            self.app.processEvents(QEventLoop.ProcessEventsFlag.AllEvents, 5)
            window.bridge.tick()
        for _ in range(12):
            window.bridge.tick()
            self.app.processEvents()

    def take(self, window, name: str) -> None:
        if self.wanted and not any(word in name for word in self.wanted):
            return
        self.settle(window)
        window.grab().save(str(self.folder / f"{name}-{self.tokens.name}.png"))

    def close(self, window) -> None:
        window.close()
        window.deleteLater()
        self.app.sendPostedEvents(None, QEvent.Type.DeferredDelete)


def with_pulses(recording: FakeRecording) -> FakeRecording:
    recording.feed.push(edges(1, [int(0.7 * SECOND), int(1.55 * SECOND)]))
    recording.feed.push(edges(4, [int(0.7 * SECOND), int(1.55 * SECOND)]))
    recording.feed.push(pulses(0, from_ns=0, to_ns=int(0.73 * SECOND), pulse_ns=1_100_000))
    recording.feed.push(pulses(0, from_ns=int(0.74 * SECOND), to_ns=int(1.58 * SECOND), pulse_ns=1_900_000))
    recording.feed.push(pulses(0, from_ns=int(1.6 * SECOND), to_ns=2 * SECOND, pulse_ns=1_100_000))
    return recording


def swapped(recording: FakeRecording) -> FakeRecording:
    recording.feed.push(pulses(1, from_ns=0, to_ns=2 * SECOND))
    recording.feed.push(edges(0, [int(0.7 * SECOND), int(1.55 * SECOND)]))
    return recording


def opened(camera: Camera, recording: FakeRecording) -> MainWindow:
    window = camera.window(recording)
    window.practise("alder")
    while window.workbench.status is None:
        camera.settle(window)
    return window


def start_pictures(camera: Camera) -> None:
    window = camera.window()
    camera.take(window, "start")
    window.show_trouble(message_for(PortNotAllowed("/dev/ttyACM0 may only be opened by the group dialout.")))
    camera.take(window, "start-trouble")
    window.banner.hide()
    for step in Step:
        if step is not Step.START:
            window.go(step)
            camera.take(window, f"empty-{step.key}")
    camera.close(window)


def file_pictures(camera: Camera) -> None:
    """The list of sessions, one of them gone, and the page that opens a capture."""
    folder = Path(tempfile.mkdtemp())
    window = camera.window()
    listed = [
        (Recent(path=str(folder / f"{name}.t2h"), name=name, started=f"{began}T18:40:00+01:00", origin=origin), reason)
        for name, began, origin, reason in (
            ("Cedar, far corner", "2026-11-22", "practice", ""),
            ("Birch with the club's module", "2026-11-21", "probe", ""),
            ("Alder, loan set 3", "2026-11-20", "capture", GONE),
        )
    ]
    window.start.show_recent([], emptied=True)
    camera.take(window, "start-emptied")
    window.start.show_recent(listed)
    camera.take(window, "start-recent")
    capture = folder / "bench.vcd"
    if not capture.exists():
        session = made_session(folder / "birch.t2h", "birch", flips=24)
        export(session, capture, to="vcd")
    window.open_path(capture)
    while not window.pages.capture.rows:
        camera.settle(window)
    camera.take(window, "capture")
    window.pages.capture.rows[1].role.setCurrentIndex(0)
    camera.take(window, "capture-missing")
    camera.close(window)


def asked_again_pictures(camera: Camera) -> None:
    """A real bench: what was carried over, and safety asked again in a switch-on."""
    recording = with_pulses(FakeRecording(Origin.PROBE))
    window = opened(camera, recording)
    window.pages.leads.pick_up.setCurrentIndex(1)
    window.pages.leads.show_bench()
    camera.take(window, "leads-carried-over")
    for refusal in recording.status().refusals:
        window.workbench.confirm(refusal.line.value, yes=True)
    window.go(Step.TESTS)
    camera.settle(window)
    window.pages.tests.choice.start_button.click()
    camera.settle(window)
    window.pages.tests.run.calm.now_s = lambda: float("inf")
    recording.tell(
        refusals=tuple(Refusal(line=line, why=Why.POWERED_UP) for line in needed_lines(Origin.PROBE, OnBench.MOTOR))
    )
    recording.run(prompt=Prompt.SWITCH_OFF_AND_ON, paused="switch-on", flips=20, answered=20)
    camera.take(window, "run-asked-again")
    camera.close(window)


def held_pictures(camera: Camera) -> None:
    """The last flip, held: in the first flips of a run, later, without an answer, left out; and on Leads."""
    for name, flips, told in (
        ("run-held-first", 2, {}),
        ("run-held", 23, {"minutes_left": 0.7}),
        ("run-held-no-answer", 24, {"unanswered": True}),
        ("run-held-many", 160, {"wanted": 400, "blocks": 3, "dropped": 2}),
    ):
        if camera.wanted and not any(word in name for word in camera.wanted):
            continue
        recording = FakeRecording()
        window = opened(camera, recording)
        window.workbench.confirm("practice", yes=True)
        window.go(Step.TESTS)
        camera.settle(window)
        window.pages.tests.choice.start_button.click()
        camera.settle(window)
        recording.tell(recorded_s=41.0, saved_ago_s=0.4)
        with_flips(recording, flips, **told)
        window.pages.tests.run.calm.now_s = lambda: float("inf")
        for _ in range(12):
            camera.settle(window)
        camera.take(window, name)
        camera.close(window)
    for name, flips, told in (("leads-held", 3, {}), ("leads-held-no-answer", 4, {"unanswered": True})):
        if camera.wanted and not any(word in name for word in camera.wanted):
            continue
        recording = FakeRecording(leads=STICK_LEADS)
        window = opened(camera, recording)
        with_flips(recording, flips, run=1, **told)
        recording.tell(run=None)
        camera.take(window, name)
        camera.close(window)


def bench_pictures(camera: Camera) -> None:
    window = opened(camera, with_pulses(FakeRecording()))
    camera.take(window, "leads")
    window.pages.leads.toggle_frozen()
    camera.take(window, "leads-frozen")
    probe = opened(camera, swapped(FakeRecording(origin=Origin.PROBE)))
    probe.pages.leads.tell()
    camera.take(probe, "leads-swapped")
    camera.close(probe)
    window.pages.leads.back_to_normal()
    window.workbench.live.take([Gap(leads=(), from_ns=int(1.2 * SECOND), to_ns=int(1.35 * SECOND), cause="lost")])
    window.bridge.recording.tell(missed=37, recorded_s=41.0, saved_ago_s=2.0, link=LinkState.RECORDING)
    camera.take(window, "leads-missed")
    window.go(Step.BENCH)
    camera.take(window, "bench")
    window.go(Step.SAFE)
    camera.take(window, "safe-practice")
    window.pages.safe.lines["practice"].button.click()
    camera.take(window, "safe-practice-confirmed")
    window.go(Step.TESTS)
    camera.take(window, "tests")
    camera.close(window)
    window = opened(camera, with_pulses(FakeRecording(Origin.PROBE, on_bench=None)))
    window.go(Step.SAFE)
    camera.take(window, "safe-probe")
    for answer, made in window.pages.safe.question.buttons.items():
        made.click()
        camera.settle(window)
        camera.take(window, f"safe-{answer}")
    for line in ("combustion-off", "propeller-off"):
        window.pages.safe.lines[line].button.click()
    camera.take(window, "safe-probe-some")
    window.go(Step.TESTS)
    camera.take(window, "tests-not-safe")
    camera.close(window)


def run_pictures(camera: Camera) -> None:
    recording = with_pulses(FakeRecording())
    window = opened(camera, recording)
    window.workbench.confirm("practice", yes=True)
    window.go(Step.TESTS)
    camera.settle(window)
    window.pages.tests.choice.start_button.click()
    camera.settle(window)
    camera.take(window, "run-ready")
    recording.tell(recorded_s=41.0, saved_ago_s=0.4)
    recording.run(
        prompt=Prompt.FLIP_NOW, flips=23, answered=22, last_ms=24.31, value_ms=24.06, half_width_ms=0.92,
        stands_for="this-switch-on", any_half_width_ms=13.04,
        flips_left=37, minutes_left=1.2, dropped=1,
    )  # fmt: skip
    camera.take(window, "run-going")
    recording.run(prompt=Prompt.CARRY_ON, paused="bad-signal", last_ms=None, last_code="no-answer")
    recording.tell(link=LinkState.PAUSED)
    camera.take(window, "run-paused")
    recording.run(prompt=Prompt.SWITCH_OFF_AND_ON, paused="switch-on", blocks=2)
    camera.take(window, "run-switch-on")
    recording.run(
        prompt=Prompt.DONE, paused="", flips=60, answered=58, outcome="complete",
        stop_reason=StopReason.ENOUGH_FLIPS.value, last_ms=23.9, flips_left=0, minutes_left=0.0,
    )  # fmt: skip
    recording.tell(link=LinkState.RECORDING, session="")
    camera.take(window, "run-done")
    recording.run(outcome="cut-short", stop_reason=StopReason.PROBE_LOST.value, flips=23, answered=22)
    recording.tell(
        link=LinkState.LOST,
        message="practice bench went away.",
        trouble="PortGone",
        kept="Everything up to then is in Birch.t2h.",
    )
    camera.take(window, "run-lost")
    window.go(Step.TESTS)
    window.pages.tests.show_choice()
    window.pages.tests.choice.options["switch-flip"].plan_buttons[2].click()
    camera.take(window, "run-again")
    correction = window.pages.tests.choice.options["switch-flip"].correction
    correction.further.click()
    correction.take_off.setText("3.25")
    correction.within.setText("0.5")
    camera.take(window, "run-further")
    window.interior.navigator.show_settings()
    camera.take(window, "run-settings")
    camera.close(window)


def findings_pictures(camera: Camera) -> None:
    with tempfile.TemporaryDirectory() as folder:
        for name, radio, flips, options in (
            ("findings", "birch", 60, "seed=3&flips=golden"),
            ("findings-alder", "alder", 120, "seed=1"),
            ("findings-few", "cedar", 7, "seed=1"),
        ):
            path = made_session(Path(folder) / f"{name}.t2h", radio, flips=flips, options=options)
            window = camera.window()
            window.open_path(path)
            while window.session.now is None:
                camera.settle(window)
            window.pages.findings.show_written(Path("/home/someone/Documents/Birch report"))
            camera.take(window, name)
            sheet = window.pages.findings.sheet
            if name == "findings":
                sheet.dots.choose(12)
                camera.take(window, "findings-chosen")
                for tab in sheet.tabs:
                    sheet.open(tab.key)
                    window.pages.findings.scroller.verticalScrollBar().setValue(400)
                    camera.take(window, f"findings-{tab.key}")
                scroll = window.pages.findings.scroller.verticalScrollBar()
                camera.settle(window)
                for number in range(1, 12):
                    scroll.setValue(number * 480)
                    camera.take(window, f"findings-down-{number:02d}")
                    if scroll.value() == scroll.maximum():
                        break
            camera.close(window)


def stick_pictures(camera: Camera) -> None:
    with tempfile.TemporaryDirectory() as folder:
        for name, test, told in (
            ("findings-sweep", "stick-sweep", {"cycles": 3}),
            ("findings-stops", "stick-sweep", {"cycles": 3, "stops_deg": (-30.0, -15.0, 0.0, 15.0, 30.0)}),
            ("findings-one-cycle", "stick-sweep", {"cycles": 1}),
            ("findings-hold", "hold-still", {"seconds": 20.0}),
        ):
            if camera.wanted and not any(word in name for word in camera.wanted):
                continue
            window = camera.window()
            window.open_path(made_stick_session(Path(folder) / f"{name}.t2h", test, **told))
            while window.session.now is None:
                camera.settle(window)
            camera.take(window, name)
            scroll = window.pages.findings.scroller.verticalScrollBar()
            for number in range(1, 14):
                scroll.setValue(number * 480)
                camera.take(window, f"{name}-down-{number:02d}")
                if scroll.value() == scroll.maximum():
                    break
            camera.close(window)


def main(folder: str, *wanted: str) -> None:
    place = Path(folder)
    place.mkdir(parents=True, exist_ok=True)
    app = QApplication.instance() or QApplication(sys.argv[:1])
    for tokens in (LIGHT, DARK):
        camera = Camera(app, tokens, place, wanted)
        for pictures in (
            start_pictures,
            file_pictures,
            bench_pictures,
            asked_again_pictures,
            run_pictures,
            held_pictures,
            findings_pictures,
            stick_pictures,
            stick_choice_pictures,
            stick_run_pictures,
            page_pictures,
            message_pictures,
            large_pictures,
        ):
            pictures(camera)
    print(f"{len(list(place.glob('*.png')))} pictures in {place}")


if __name__ == "__main__":
    main(*sys.argv[1:])
