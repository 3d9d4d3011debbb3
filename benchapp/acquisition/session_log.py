"""The session being recorded and its runs: every event goes through here to the writer."""

from collections.abc import Callable, Mapping, Sequence

from benchapp.acquisition.safety import Said
from benchapp.acquisition.wishes import Drop, NewSession, StartRun, Undrop
from benchapp.acquisition.writer import SessionStart, Writer
from benchapp.procedures.ground.conclusions import Helper
from benchapp.procedures.ground.moments import Seen
from benchapp.procedures.ground.plan import RunPlan, moves_itself
from benchapp.procedures.ground.procedure import Procedure
from benchapp.procedures.ground.progress import RunProgress, StopReason
from benchapp.procedures.named import begin_procedure, check_settings
from benchapp.records.errors import WrongCall
from benchapp.records.events import Event, EventKind, Json
from benchapp.records.leads import Lead, Stretch
from benchapp.records.named_tests import named_test, times_flips
from benchapp.records.run import Origin, Outcome, PickUp
from benchapp.records.stream import Record


class SessionLog:
    """Knows whether a session is being recorded and whether a run is open; used by the conductor alone."""

    def __init__(self, writer: Writer, draw: Callable[[], float], software: str, helper: Helper | None = None) -> None:
        self._writer = writer
        self._draw = draw
        self._software = software
        self._helper = helper
        self._safety_logged: set[str] = set()
        self._stretch_number = 0
        self.path = ""
        self.began_ns: int | None = None
        self.runs = 0
        self.procedure: Procedure | None = None
        self.plan: RunPlan | None = None

    @property
    def recording(self) -> bool:
        """Whether a session file is being written."""
        return bool(self.path)

    @property
    def running(self) -> bool:
        """Whether a run is open."""
        return self.procedure is not None and not self.procedure.ended

    @property
    def waits_for_figure(self) -> bool:
        """Whether the open run goes on only once its figure has been worked out."""
        return self.procedure is not None and not self.procedure.ended and self.procedure.waits_for_figure

    @property
    def progress(self) -> RunProgress | None:
        """The run as it stands, or the last one of this session."""
        return self.procedure.progress() if self.procedure else None

    def begin(self, wish: NewSession, origin: Origin) -> None:
        """Begin a session file. Raises the BenchError that stood in the way."""
        self.close()
        start = SessionStart(
            path=wish.path,
            origin=origin,
            software=self._software,
            started=wish.started,
            name=wish.name,
            force=wish.force,
        )
        self._writer.begin(start)
        self.path = str(wish.path)
        self.began_ns, self.runs, self.procedure, self.plan = None, 0, None, None
        self._safety_logged.clear()
        self._stretch_number = 0
        if wish.bench:
            detail: dict[str, Json] = dict(wish.bench)
            self._write([Event(kind=EventKind.BENCH, at_ns=0, detail=detail)])

    def open_stretch(self, stretch: Stretch) -> None:
        """Note that records from here on belong to a new stretch."""
        if not self.recording:
            return
        self._stretch_number = stretch.number
        if self.began_ns is None:
            self.began_ns = stretch.origin_ns
        self._writer.add_stretch(stretch)

    def add_record(self, record: Record) -> None:
        """Keep one record, if a session is being recorded."""
        if self.recording and self._stretch_number:
            self._writer.add_record(self._stretch_number, record)

    def start_run(
        self,
        wish: StartRun,
        leads: dict[str, Lead],
        *,
        safety: Mapping[str, Said],
        stretch: Stretch,
        origin: Origin,
        now_ns: int,
        power: Lead | None = None,
    ) -> None:
        """Open a run; safety holds the confirmed lines with their times, power is the lead that switches the radio.

        Raises WrongCall when it cannot be.
        """
        if not self.recording:
            raise WrongCall("A run needs a session file: begin a session first.")
        if self.running:
            raise WrongCall("A run is open already: stop it first.")
        named_test(wish.test)
        check_settings(wish.test, wish.settings)
        itself = times_flips(wish.test) and moves_itself(leads)
        if wish.phase_stepped and not itself and "drive" not in leads:
            raise WrongCall("For the probe to flip the switch, a driven lead must be clipped to drive.")
        if wish.switches_itself and power is None:
            raise WrongCall("This probe has no lead that holds the transmitter's power, so it cannot switch it.")
        self.runs += 1
        self.plan = RunPlan(
            run=self.runs,
            test=wish.test,
            origin=origin,
            leads=leads,
            start_ns=now_ns,
            pick_up=PickUp.DRIVEN if itself else wish.pick_up,
            polarity=dict(wish.polarity),
            clock_tolerance_ppm=stretch.board.tolerance_ppm,
            settings=wish.settings,
            phase_stepped=wish.phase_stepped or itself,
            alone=wish.alone,
            takes_itself=wish.takes_itself,
            power=power if wish.switches_itself else None,
        )
        for line, said in safety.items():
            if line not in self._safety_logged:
                self.note_safety(line, said)
        self.procedure = begin_procedure(self.plan, self._draw, self._helper)
        self._write(self.procedure.see((), now_ns))

    def see(self, records: Sequence[Record], now_ns: int) -> None:
        """Let the open run see what arrived."""
        if self.procedure is not None and not self.procedure.ended:
            self._write(self.procedure.see(records, now_ns))

    def ask(self, seen: Seen, now_ns: int) -> None:
        """Pass a wish to the open run."""
        if self.procedure is not None and not self.procedure.ended:
            self.procedure.ask(seen, now_ns)

    def drop(self, wish: Drop | Undrop, now_ns: int) -> None:
        """Leave a flip of the last run out, or take that back; also after the run has ended."""
        if self.procedure is None or not self.recording:
            return
        change = self.procedure.drop if isinstance(wish, Drop) else self.procedure.undrop
        self._write(change(now_ns, wish.flip_ns))

    def note(self, kind: EventKind, detail: dict[str, Json], now_ns: int) -> None:
        """Keep a note, a mark or a line of *Put it back*."""
        run = self.plan.run if self.plan is not None and self.running else None
        self._write([Event(kind=kind, at_ns=now_ns, run=run, detail=detail)])

    def note_safety(self, line: str, said: Said) -> None:
        """Keep that a line of *Make it safe* was confirmed or taken back, each time; said is on the session's clock.

        Without a session nothing is kept: what still holds when a run starts is kept then, with its own time.
        """
        if self.recording:
            self._safety_logged.add(line)
            detail: dict[str, Json] = {"line": line, "answer": said.answer}
            self._write([Event(kind=EventKind.SAFETY, at_ns=said.at_ns, detail=detail)])

    def end_run(self, reason: StopReason, at_ns: int) -> None:
        """End the open run, if there is one, and keep it."""
        if self.procedure is not None and not self.procedure.ended:
            self._write(self.procedure.finish(reason, at_ns))

    def break_run(self, reason: StopReason, at_ns: int) -> None:
        """End the open run without asking it: it failed at something unforeseen. What was recorded of it stays."""
        plan, self.procedure = self.plan, None
        if plan is not None:
            detail: dict[str, Json] = {"outcome": Outcome.CUT_SHORT.value, "reason": reason.value}
            at_ns = max(at_ns, plan.start_ns)
            detail["stopped_itself"] = False
            self._write([Event(kind=EventKind.RUN_STOP, at_ns=at_ns, run=plan.run, detail=detail)])

    def commit(self) -> None:
        """Have everything so far put on the disk."""
        if self.recording:
            self._writer.commit()

    def close(self) -> None:
        """Close the session file, if one is being written. The run must have been ended."""
        if self.recording:
            self._writer.close_session()
            self.path = ""

    def move(self, path: str) -> None:
        """Note that the session goes on in another file."""
        self.path = path

    def lose(self) -> None:
        """Forget the session file: the disk would not take it."""
        self.path = ""

    def _write(self, events: Sequence[Event]) -> None:
        if self.recording:
            for event in events:
                self._writer.add_event(event)
