"""Runs a test without a window and keeps it."""

import random
import time
from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from types import MappingProxyType

from benchapp.acquisition.recording import Recording
from benchapp.acquisition.status import Status
from benchapp.acquisition.wishes import Confirm, NewSession, PoweredUp, Resume, SayOnBench, StartRun, StopRun
from benchapp.desk.bench_file import NAME
from benchapp.desk.names import shown
from benchapp.desk.outputs import check_target, is_same_file, parts_of
from benchapp.desk.probe_tests import as_tested
from benchapp.desk.seen_ports import remember_port
from benchapp.desk.software import recorder
from benchapp.probe.opening import open_link, url_for_test
from benchapp.procedures.asked_settings import MOST_SWITCH_ONS as MOST_SWITCHED
from benchapp.procedures.asked_settings import PRESETS, preset_stops_deg
from benchapp.procedures.gate import OnBench, SafetyLine
from benchapp.procedures.ground.progress import RunProgress, StopReason
from benchapp.procedures.hold.course import USUAL_S
from benchapp.procedures.named import check_settings
from benchapp.procedures.sweep.continuous import USUAL_CYCLES as SWEEP_CYCLES
from benchapp.records.errors import BenchError, DiskTrouble, ProbeTrouble, SessionTakenAway, WrongCall
from benchapp.records.events import SWITCH_ON
from benchapp.records.leads import Stretch
from benchapp.records.named_tests import named_test, times_flips
from benchapp.records.run import PickUp, RunSettings

USUAL_CYCLES = SWEEP_CYCLES
USUAL_HOLD_S = USUAL_S
MOST_SWITCH_ONS = MOST_SWITCHED
TELL_EVERY_S = 0.1
STOP_WITHIN_S = 3.0
LONGEST_STEP_S = 30.0
"""A read lasts 20 ms and a greeting a few seconds: what has not come back after this long hangs."""
_AS_ASKED = frozenset(
    {
        StopReason.ENOUGH_FLIPS,
        StopReason.TIME_OVER,
        StopReason.TARGET_MET,
        StopReason.ENOUGH_CYCLES,
        StopReason.ALL_STOPS,
        StopReason.BY_HAND,
        StopReason.SESSION_CLOSED,
    }
)


SwitchedOn = Callable[[RunProgress, Callable[[], bool]], tuple[str, ...] | None]
"""Has a person switch a real bench off and on; given the run, and what says whether it still waits for that. Returns
the safety lines confirmed with it, which are all of the run's, None where the run is to be stopped instead."""


@dataclass(frozen=True, kw_only=True, slots=True)
class RecordOrder:
    """One run to record: where from, where to, and how.

    on_bench is what was said to be on a real bench, without which no run starts; None is enough on the practice bench.
    confirmed holds the safety lines that were answered, answer what is written beside each: a person's own yes, or
    who answered. clips maps lead labels to roles; truth is the file for what the practice bench knows; bench_file is
    the file the bench's fields were read from, never to be written over. started is when it began, ISO 8601 with its
    offset; None: now. answered_ns holds when each line was answered, on the computer's clock that never steps back;
    one that is not there is answered now. bench_said: a person said what is on the bench; else `answer` gave it.
    """

    probe: str
    test: str
    out: Path
    settings: RunSettings
    confirmed: tuple[str, ...]
    on_bench: OnBench | None = None
    clips: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))
    bench: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))
    pick_up: PickUp | None = None
    bench_file: Path | None = None
    truth: Path | None = None
    started: str | None = None
    answer: str = "yes"
    bench_said: bool = True
    answered_ns: Mapping[str, int] = field(default_factory=lambda: MappingProxyType({}))
    force: bool = False


@dataclass(frozen=True, kw_only=True, slots=True)
class Recorded:
    """What came of a recording; trouble says what ended it early, None where it ended as asked or by hand."""

    path: Path
    run: RunProgress
    evidence_hash: str
    trouble: BenchError | None


def preset_stops(count: int) -> tuple[float, ...]:
    """Return the positions of a preset [degrees], rising. Raises WrongCall for a number there is no preset of."""
    if count not in PRESETS:
        offered = ", ".join(map(str, PRESETS[:-1]))
        raise WrongCall(f"The presets have {offered} or {PRESETS[-1]} stops, not {count}. Type the positions instead.")
    return preset_stops_deg(count)


def check_order(order: RecordOrder) -> None:
    """Raise what stands in the way of an order, before anything is opened."""
    named_test(order.test)
    check_settings(order.test, order.settings)
    read = [] if order.bench_file is None else [order.bench_file]
    check_target(order.out, force=order.force, inputs=read, session=True)
    if order.truth is not None:
        check_target(order.truth, force=order.force, inputs=read)
        if is_same_file(order.truth, order.out):
            raise WrongCall("--truth and --out name the same file. Give the truth a file of its own.")
        if any(is_same_file(order.truth, part) for part in parts_of(order.out)):
            raise WrongCall("--truth names a file that the session needs for itself. Give the truth a file of its own.")


def record(
    order: RecordOrder,
    tell: Callable[[Status], None],
    switched_on: SwitchedOn | None = None,
    *,
    before_run: Callable[[], None] = lambda: None,
) -> Recorded:
    """Record one run and return what came of it; tell is called ten times a second with how things are.

    switched_on is called once for each further switch-on of a real bench; the practice bench switches its own.
    before_run is called once the probe has answered and nothing stands in the way of the run, before anything is
    driven, in another thread. A port on which the probe answered is remembered. Call it only for a port that
    `is_seen`, or after somebody agreed, the call itself included.
    KeyboardInterrupt stops the run and keeps it. Raises the BenchError that stood in the way of the run.
    """
    check_order(order)
    driven = times_flips(order.test) and "drive" in order.clips.values()
    recording = Recording(
        lambda: open_link(url_for_test(order.probe, order.test, order.settings), pace="flat", truth=order.truth),
        software=recorder(),
        draw=random.Random(0).random if is_practice(order.probe) else random.random,
        patient=False,
        watched=False,
        describe=_met(order, before_run),
    )
    now_ns = time.monotonic_ns()
    if order.on_bench is not None:
        ago_ns = now_ns - order.answered_ns.get(SafetyLine.ON_BENCH, now_ns)
        told = "" if order.bench_said else order.answer
        recording.wish(SayOnBench(on_bench=order.on_bench, ago_ns=ago_ns, answer=told))
    for line in order.confirmed:
        ago_ns = now_ns - order.answered_ns.get(line, now_ns)
        recording.wish(Confirm(line=line, ago_ns=ago_ns, answer=order.answer))
    recording.wish(
        StartRun(
            test=order.test,
            clips=order.clips,
            pick_up=order.pick_up or _pick_up(order, driven=driven),
            settings=order.settings,
            phase_stepped=driven,
            alone=True,
            switches_itself=_several(order) and is_practice(order.probe),
        )
    )
    recording.wish(
        NewSession(
            path=order.out,
            name=order.bench.get(NAME, "") or order.out.stem,
            started=order.started or datetime.now().astimezone().isoformat(timespec="seconds"),
            bench={key: text for key, text in order.bench.items() if key != NAME},
            force=order.force,
        )
    )
    _wait(recording, tell, switched_on if _several(order) and not is_practice(order.probe) else None)
    return _recorded(recording, order)


def _met(order: RecordOrder, before_run: Callable[[], None]) -> Callable[[Stretch], Stretch]:
    """Return what is done with each stretch as it opens; the first one opens right before the run."""

    def describe(stretch: Stretch) -> Stretch:
        if stretch.number == 1:
            if not is_practice(order.probe):
                with suppress(DiskTrouble):  # then the next time somebody is asked again
                    remember_port(order.probe)
            before_run()
        return as_tested(stretch)

    return describe


def _pick_up(order: RecordOrder, *, driven: bool) -> PickUp:
    """Return how the control's motion reaches the probe, as far as it is known without being told."""
    if driven:
        return PickUp.DRIVEN
    return PickUp.CONTACT if is_practice(order.probe) else PickUp.UNKNOWN


def is_practice(url: str) -> bool:
    """Return whether a URL names the practice bench."""
    return url.lower().startswith("practice:")


def _several(order: RecordOrder) -> bool:
    return (order.settings.switch_ons or 1) > 1


def _wait(recording: Recording, tell: Callable[[Status], None], switched_on: SwitchedOn | None) -> None:
    asked = 0
    try:
        recording.start()
        while not recording.wait_until_finished(TELL_EVERY_S):
            recording.check_alive(LONGEST_STEP_S)
            status = recording.status()
            tell(status)
            run = status.run
            if switched_on is not None and run is not None and run.paused == SWITCH_ON and run.blocks > asked:
                asked = run.blocks
                _switch_on(recording, run, switched_on)
    except KeyboardInterrupt:
        recording.wish(StopRun())
        recording.wait_until_finished(STOP_WITHIN_S)
    finally:
        recording.close()
    tell(recording.status())


def _switch_on(recording: Recording, run: RunProgress, switched_on: SwitchedOn) -> None:
    """Have the bench switched off and on, then carry on; the model was powered up, so its safety lines count anew."""
    lines = switched_on(run, lambda: not recording.wait_until_finished(0))
    if lines is None:
        recording.wish(StopRun())
        return
    recording.wish(PoweredUp())
    for line in lines:
        recording.wish(Confirm(line=line))
    recording.wish(Resume())


def _recorded(recording: Recording, order: RecordOrder) -> Recorded:
    run, trouble = recording.status().run, recording.failure
    if run is None or not run.outcome:
        raise trouble or WrongCall("No run was started.", kept="Nothing was recorded.")
    if trouble is None and run.stop_reason not in _AS_ASKED:
        trouble = ProbeTrouble(_STOPPED[StopReason(run.stop_reason)], kept=f"The run so far is in {shown(order.out)}.")
    path = recording.moved_to or order.out
    if trouble is None and recording.moved_to is not None:
        trouble = SessionTakenAway(f"{shown(order.out)} was taken away or replaced while it was being recorded.")
    return Recorded(path=path, run=run, evidence_hash=recording.evidence_hash, trouble=trouble)


_STOPPED = {
    StopReason.PAUSED_TOO_LONG: "No servo pulses came for 10 s, so the run was stopped. Look at the output's lead.",
    StopReason.NO_FLIPS: "Nobody flipped the switch for 10 minutes, so the run was stopped.",
    StopReason.NO_MOVES: "Nobody moved the stick for 2 minutes, so the run was stopped.",
    StopReason.NEVER_STILL: "The stick was touched again and again, so the run was stopped. Let go of it.",
    StopReason.NOT_SWITCHED_ON: "For 10 minutes the transmitter was not switched off and on, or no servo pulses came "
    "after it, so the run was stopped.",
    StopReason.PROBE_RESET: "The probe started anew in the middle of the run. Look at its supply and its cable.",
    StopReason.PROBE_LOST: "The probe was lost in the middle of the run. Look at its cable.",
    StopReason.COMPUTER_SLEPT: "The computer slept in the middle of the run. Keep it awake and run again.",
    StopReason.DISK_TROUBLE: "The disk would not take any more. Make room and run again.",
    StopReason.UNFORESEEN: "Something this program did not expect ended the run. Run again.",
}
