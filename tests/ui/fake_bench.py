"""A recording without threads, which a test moves by hand, and a desk that hands it out."""

from dataclasses import replace
from pathlib import Path

import numpy as np

from benchapp.acquisition.feed import Feed
from benchapp.acquisition.status import LinkState, Status
from benchapp.acquisition.wishes import CloseSession, Confirm, NewSession, SayOnBench, StartRun
from benchapp.presentation.ground.human_ruler import Flight
from benchapp.procedures.gate import OnBench, SafetyLine, gate
from benchapp.procedures.ground.progress import Prompt, RunProgress
from benchapp.records.leads import Board, ClockKind, Lead, LeadKind, Stretch
from benchapp.records.run import Origin
from benchapp.records.stream import Edges

OPEN_BENCH = "benchapp.desk.bench.open_bench"
LOAD = "benchapp.desk.loading.load"
NOTE_BENCH = "benchapp.desk.noting.note_bench"
WRITE_REPORT = "benchapp.desk.reporting.write_report"
DISCARD = "benchapp.desk.trash.discard"
PORTS = "benchapp.desk.ports.ports"
IS_SEEN = "benchapp.desk.seen_ports.is_seen"
CAN_OPEN = "benchapp.desk.port_permission.can_open"
PERMISSION_HELP = "benchapp.desk.port_permission.permission_help"
INSTALL_PROBE = "benchapp.desk.probe_install.install_probe"
SELF_TEST = "benchapp.desk.self_test.self_test"
CHECK_CLOCK = "benchapp.desk.clock_check.check_clock"
SHOW_FILE = "benchapp.ui.link.other_programs.show_file"

LEADS = (
    Lead(index=0, label="D8", kind=LeadKind.EDGE, role="output", resolution_ns=62.5),
    Lead(index=1, label="D2", kind=LeadKind.EDGE, role="switch", resolution_ns=62.5),
    Lead(index=4, label="flip", kind=LeadKind.DRIVE, role="drive", resolution_ns=62.5),
)
BOARD = Board(
    wire_version=1,
    start_id=1,
    tick_hz=16_000_000,
    tick_bits=32,
    clock_kind=ClockKind.CRYSTAL,
    tolerance_ppm=50.0,
    serial="1",
)


def stretch(leads=LEADS, number=1) -> Stretch:
    return Stretch(number=number, board=BOARD, leads=leads, origin_tick=0, origin_ns=0)


def edges(lead, times_ns, first_level=1) -> Edges:
    times = np.asarray(times_ns, dtype=np.int64)
    levels = ((np.arange(times.size) + first_level) % 2).astype(np.uint8)
    return Edges(lead=lead, times_ns=times, levels=levels, flags=np.zeros(times.size, dtype=np.uint8))


def pulses(lead, *, from_ns, to_ns, period_ns=20_000_000, pulse_ns=1_500_000) -> Edges:
    starts = np.arange(from_ns, to_ns, period_ns, dtype=np.int64)
    return edges(lead, np.column_stack((starts, starts + pulse_ns)).ravel())


class FakeRecording:
    """Answers the wishes that a page waits for, and remembers all of them."""

    failure = None

    def __init__(self, origin=Origin.PRACTICE, leads=LEADS, on_bench=OnBench.MOTOR) -> None:
        self.feed = Feed()
        self.wishes = []
        self.closed = False
        self.origin = origin
        self.confirmed = set()
        self.on_bench = None if origin is Origin.PRACTICE else on_bench
        self.now = Status(
            link=LinkState.READY,
            probe="practice bench, radio Alder" if origin is Origin.PRACTICE else "probe 1",
            origin=origin,
            leads=leads,
            roles={lead.index: lead.role for lead in leads if lead.role},
            refusals=self._refusals(),
            on_bench=self.on_bench,
        )
        self.feed.push(stretch(leads))

    def _refusals(self):
        return gate(dict.fromkeys(self.confirmed, 1), 1, origin=self.origin, on_bench=self.on_bench)

    def status(self) -> Status:
        return self.now

    def tell(self, **changes) -> None:
        self.now = replace(self.now, **changes)

    def run(self, **changes) -> None:
        usual = RunProgress(run=1, test="switch-flip", prompt=Prompt.FLIP_NOW, flips=0, answered=0, wanted=60)
        self.tell(run=replace(self.now.run or usual, **changes))

    def wish(self, wish) -> None:
        self.wishes.append(wish)
        if isinstance(wish, Confirm):
            (self.confirmed.add if wish.yes else self.confirmed.discard)(SafetyLine(wish.line))
            self.tell(refusals=self._refusals())
        elif isinstance(wish, SayOnBench):
            self.on_bench = OnBench(wish.on_bench)
            self.confirmed.clear()
            self.tell(refusals=self._refusals(), on_bench=self.on_bench)
        elif isinstance(wish, NewSession):
            self.tell(session=str(wish.path), link=LinkState.RECORDING, recorded_s=0.0, saved_ago_s=0.1)
        elif isinstance(wish, CloseSession):
            self.on_bench = None
            self.confirmed.clear()
            self.tell(session="", link=LinkState.READY, recorded_s=None, on_bench=None, refusals=self._refusals())
        elif isinstance(wish, StartRun):
            self.run(prompt=Prompt.FLIP_TO_START, wanted=wish.settings.flips)

    def close(self) -> None:
        self.closed = True


def bug_details(said: str) -> str:
    return f"{said}\nversions and the log"


def fake_desk(recording=None, *, reports=None, shown=None) -> dict:
    """Return what stands in for functions of the desk, by where each is: no port, no other program, this recording."""

    def write_report(session: Path, folder: Path, *, photo: bool, flight: Flight) -> None:
        if reports is not None:
            reports.append((session, folder, photo))

    return {
        OPEN_BENCH: lambda url: recording,
        WRITE_REPORT: write_report,
        PORTS: lambda: [],
        IS_SEEN: lambda port: True,
        SHOW_FILE: ([] if shown is None else shown).append,
    }


def real_desk() -> dict:
    """The desk as the program uses it; offscreen there is no other program to hand a finished report to."""
    return {SHOW_FILE: lambda file: None}
