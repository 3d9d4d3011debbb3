"""Every page and state of the window, one after the other, for the tests that look at all of them."""

from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace

from benchapp.acquisition.status import LinkState
from benchapp.desk.exporting import export
from benchapp.desk.port_permission import PermissionHelp
from benchapp.desk.trash import Discarded
from benchapp.presentation.ground.messages import message_for
from benchapp.presentation.screens.shelf_words import GONE, deleted_message, stopped_early_message
from benchapp.procedures.ground.progress import Pace, Prompt, StickProgress, StopReason
from benchapp.records.clock_check import ClockCheck
from benchapp.records.errors import DiskTrouble, UploadBroken
from benchapp.records.probe_install import Installed, InstallProgress, InstallStep
from benchapp.records.run import Origin
from benchapp.records.self_test import LeadTest, SelfTest, SelfTestProgress, SelfTestStep
from benchapp.ui.kept.recents import Recent
from benchapp.ui.kept.steps import Step
from benchapp.ui.widgets.banner import Act
from tests.ui.fake_bench import BOARD, FakeRecording, edges, pulses
from tests.ui.fake_stick import with_stick
from tests.ui.made_sessions import made_session, made_stick_session

SECOND = 1_000_000_000
RECENTS = [
    (Recent(path=f"/x/{name}.t2h", name=name, started="2026-11-22T18:40:00+01:00", origin=origin), reason)
    for name, origin, reason in (
        ("Cedar, far corner of the field", "practice", ""),
        ("Birch with the club's module", "probe", ""),
        ("Alder, loan set 3", "capture", GONE),
    )
]
DISCARDED = [
    Discarded(path=Path(f"/x/{stamp}.t2h"), folder=Path(f"/x/{stamp}"), name="Cedar, far corner of the field")
    for stamp in ("20261123T101500000000", "20261122T090000000000")
]
NOT_ALLOWED = PermissionHelp(
    port="/dev/ttyACM0",
    rule_file="/etc/udev/rules.d/70-a-probe.rules",
    rule="one",
    rule_commands='printf \'%s\\n\' \'SUBSYSTEM=="usb", ATTR{idVendor}=="1234", ATTR{idProduct}=="00ab"\' | '
    "sudo tee /etc/udev/rules.d/70-a-probe.rules\n"
    "sudo udevadm control --reload\n",
    group="dialout",
    group_command="sudo usermod -aG dialout $USER",
)
TESTED = tuple(
    LeadTest(
        index=place, label=label, driven=200, seen=200, strays=0, mean_ns=12.0, sd_ns=30.0, earliest_ns=-62.5,
        latest_ns=latest, coarse=0, keeps_promise=latest < 1000.0,
    )
    for place, (label, latest) in enumerate((("D8", 62.5), ("D2", 810.0), ("D3", 9100.0)))
)  # fmt: skip
WARMING = ClockCheck(
    serial="0123456789ab", error_ppm=812.0, standard_ppm=20.5, expanded_ppm=41.0, span_s=60.0, heartbeats=600,
    tolerance_ppm=5000.0, inside=True, drift_ppm=90.0, drift_standard_ppm=20.0, warming=True,
)  # fmt: skip
_SWEPT = StickProgress(
    place=0.4, target=0.45, at_v=1.4, scale_v=3.3, low_v=0.5, high_v=2.8, pace=Pace.TOO_FAST,
    pace_wanted=Pace.SLOWER, cycles=1, cycles_wanted=3, low_us=1108.0, high_us=1886.0, linearity_pct=1.2,
    linearity_u_pct=0.3,
)  # fmt: skip
_HELD = StickProgress(
    place=0.5, at_v=1.65, scale_v=3.3, still=True, held_s=12.0, hold_s=20.0, position=1, positions=1, sd_us=0.41,
    peak_us=3.1,
)  # fmt: skip
_STICK_RUNS = (
    ("stick-sweep", ((Prompt.SWEEP, _SWEPT), (Prompt.GO_ON, _SWEPT))),
    ("hold-still", ((Prompt.TOUCH_NOTHING, _HELD), (Prompt.LET_GO, _HELD))),
)
_STICK_SESSIONS = (
    ("sweep", "stick-sweep", {"cycles": 2}),
    ("stops", "stick-sweep", {"cycles": 2, "stops_deg": (-20.0, -10.0, 0.0, 10.0, 20.0)}),
    ("hold", "hold-still", {"seconds": 5.0}),
)
ORIGINS = (Origin.PRACTICE, Origin.PROBE)


def busy(origin):
    """Return a recording in which every lead shows something."""
    recording = FakeRecording(origin)
    recording.feed.push(edges(1, [SECOND, 2 * SECOND]))
    recording.feed.push(edges(4, [SECOND, 2 * SECOND]))
    recording.feed.push(pulses(0, from_ns=0, to_ns=2 * SECOND))
    return recording


def pages(window, recording, settle):
    """Go to every page with a bench open, yielding the name of each and the page."""
    for step in Step:
        window.go(step)
        settle(window)
        yield f"{step.key}, before", window.stage.currentWidget()
    window.pages.leads.toggle_frozen()
    window.go(Step.LEADS)
    settle(window)
    yield "leads, frozen", window.pages.leads
    window.pages.leads.back_to_normal()
    for line in recording.status().refusals:
        window.workbench.confirm(line.line.value, yes=True)
    for step in (Step.SAFE, Step.TESTS):
        window.go(step)
        settle(window)
        yield f"{step.key}, confirmed", window.stage.currentWidget()
    yield from run_states(window, recording, settle)
    yield from others(window, settle)


def run_states(window, recording, settle):
    """Go through a run, its pauses and its ends."""
    window.pages.tests.choice.start_button.click()
    settle(window)
    for changes in (
        {"prompt": Prompt.FLIP_TO_START},
        {"prompt": Prompt.FLIP_NOW, "flips": 59, "last_ms": 124.31, "value_ms": 124.06, "half_width_ms": 0.92,
         "stands_for": "this-switch-on", "any_half_width_ms": 13.04,
         "flips_left": 1941, "minutes_left": 65.0, "dropped": 12, "blocks": 5, "wanted": 2000},
        {"prompt": Prompt.CARRY_ON, "paused": "bad-signal", "last_ms": None, "last_code": "next-flip-too-soon"},
        {"prompt": Prompt.SWITCH_OFF_AND_ON, "paused": "switch-on"},
        {"prompt": Prompt.DONE, "paused": "", "outcome": "cut-short",
         "stop_reason": StopReason.PAUSED_TOO_LONG.value},
    ):  # fmt: skip
        if changes.get("outcome"):
            recording.tell(session="")  # there is no file whose findings could be shown
        recording.run(**changes)
        settle(window)
        yield f"run, {changes['prompt'].name.lower()} {changes.get('paused', '')}".strip(), window.pages.tests
    window.pages.tests.show_choice()


def stick_states(window, recording, settle):
    """Go through the choices of every test, and a sweep and a hold as they run; the bench has a stick."""
    for line in recording.status().refusals:
        window.workbench.confirm(line.line.value, yes=True)
    with_stick(recording, to_s=20.0)
    window.go(Step.TESTS)
    settle(window)
    for test, card in window.pages.tests.choice.cards.items():
        card.choose.click()
        settle(window)
        yield f"tests, {test}", window.pages.tests
    window.pages.tests.choice.cards["switch-flip"].choose.click()
    correction = window.pages.tests.choice.options["switch-flip"].correction
    correction.further.click()
    correction.take_off.setText("3.25")
    correction.within.setText("0.5")
    settle(window)
    yield "tests, switch-flip, further options", window.pages.tests
    correction.clear()
    correction.further.click()
    for number, (test, told) in enumerate(_STICK_RUNS, start=1):
        recording.tell(session="")
        recording.now = replace(recording.now, run=None)
        window.pages.tests.show_choice()
        settle(window)
        window.pages.tests.choice.cards[test].choose.click()
        settle(window)
        window.pages.tests.choice.start_button.click()
        settle(window)
        for prompt, stick in told:
            recording.run(run=number, test=test, prompt=prompt, flips=0, last_ms=None, stick=stick)
            settle(window)
            yield f"{test}, {prompt.name.lower()}", window.pages.tests
        recording.run(prompt=Prompt.DONE, outcome="complete", stop_reason=StopReason.ENOUGH_FLIPS.value)
        settle(window)
        yield f"{test}, done", window.pages.tests


def others(window, settle):
    """Go to what lies over the pages, and to Start with its list."""
    window.interior.navigator.show_settings()
    settle(window)
    yield "settings", window.pages.settings
    window.interior.navigator.leave_settings()
    yield from install_states(window, settle)
    yield from probe_test_states(window, settle)
    for page in ("leads", "keys", "build-a-probe", "self-test"):
        window.interior.navigator.show_help_page(page)
        settle(window)
        yield f"help, {page}", window.pages.help
    window.interior.navigator.leave_help()
    window.go(Step.START)
    window.start.show_recent(RECENTS)
    settle(window)
    yield "start, with sessions", window.start
    window.start.show_trash(DISCARDED)
    window.start.trash_button.click()
    settle(window)
    yield "start, deleted sessions", window.start
    window.start.trash_card.back_button.click()
    window.start.show_trash(())
    window.start.show_permission(NOT_ALLOWED)
    settle(window)
    yield "start, not allowed", window.start
    window.start.permission.hide()
    window.start.ask_to_open("/dev/ttyACM0")
    settle(window)
    yield "start, asked", window.start
    window.start.show_opening("Reading the session …")
    settle(window)
    yield "start, opening", window.start
    window.start.show_opening("")


def probe_test_states(window, settle):
    """Go through the test of a probe's leads and of its clock."""
    page = window.interior.probe_care.testing.page
    window.interior.probe_care.show_test()
    settle(window)
    yield "probe test, before", page
    page.show_begun()
    page.show_leads_progress(
        SelfTestProgress(step=SelfTestStep.JUMPER, drive="D9", left=("D8", "D2", "D3", "D4", "D5", "D6", "D7"))
    )
    settle(window)
    yield "probe test, wire", page
    page.show_leads(SelfTest(serial="0123456789ab", program="probe 1.0", tested_on="2026-11-25", leads=TESTED))
    settle(window)
    yield "probe test, leads", page
    page.show_clock(WARMING)
    settle(window)
    yield "probe test, clock", page
    window.interior.navigator.leave_settings()


def install_states(window, settle):
    """Go through the installing of the probe program, for a board that was never seen."""
    page = window.interior.probe_care.installing.page
    window.interior.probe_care.show_install()
    window.ports.found.emit([SimpleNamespace(name="/dev/ttyACM0", words="A board", seen=False, identified=True)])
    settle(window)
    yield "install, asked", page
    page.show_begun()
    page.show_progress(InstallProgress(step=InstallStep.BOOT_LOADER, done=3, total=10))
    settle(window)
    yield "install, under way", page
    page.show_trouble(message_for(UploadBroken("Page 3 of 61 was not answered.", kept="A part of it is on the board.")))
    settle(window)
    yield "install, failed", page
    page.show_installed(Installed(port="/dev/ttyACM0", file="probe.hex", sha256="0", size_bytes=7744, board=BOARD))
    settle(window)
    yield "install, done", page
    window.interior.navigator.leave_settings()


def banners(window, recording, settle):
    """Show every kind of message, and the strip at its fullest, over Start."""
    window.go(Step.START)
    recording.tell(missed=12345, saved_ago_s=120.0, recorded_s=40000.0, link=LinkState.RECORDING)
    window.show_trouble(message_for(DiskTrouble("The disk is full: '/home/someone/a.t2h' could not be written.")))
    settle(window)
    yield "trouble and misses"
    window.banner.show_message(deleted_message("Birch with the club's module", days=30), (_act("Undo"),))
    settle(window)
    yield "deleted"
    found = stopped_early_message("Session 14", kept="was stopped early; 212 of 212 blocks good", more=2)
    window.banner.show_message(found, (_act("Open it"), _act("Skip")))
    settle(window)
    yield "stopped early"
    window.banner.clear()


def _act(words):
    return Act(words=words, do=lambda: None)


def files(window, settle, qtbot, folder):
    """Open a capture, then a session with its findings, yielding the name of each and the page."""
    session = made_session(folder / "birch.t2h", "birch", flips=24)
    export(session, folder / "bench.vcd", to="vcd")
    window.open_path(folder / "bench.vcd")
    qtbot.waitUntil(lambda: bool(window.pages.capture.rows), timeout=20000)
    settle(window)
    yield "capture", window.pages.capture
    window.open_path(session)
    qtbot.waitUntil(lambda: window.session.now is not None, timeout=20000)
    settle(window)
    yield "findings", window.pages.findings
    window.pages.findings.show_written(folder / "Birch report")
    window.pages.findings.sheet.dots.choose(3)
    window.pages.findings.sheet.open("every")
    settle(window)
    yield "findings, opened", window.pages.findings
    window.pages.findings.describe_button.click()
    settle(window)
    yield "findings, description", window.pages.findings
    for name, test, told in _STICK_SESSIONS:
        window.session.now = None
        window.open_path(made_stick_session(folder / f"{name}.t2h", test, **told))
        qtbot.waitUntil(lambda: window.session.now is not None, timeout=20000)
        settle(window)
        yield f"findings, {name}", window.pages.findings
    window.interior.preferences.change_look("dark")
    settle(window)
    yield "findings, in the dark", window.pages.findings
