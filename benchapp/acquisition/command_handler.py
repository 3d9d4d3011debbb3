"""Carries out the commands a person gives to a recording."""

from dataclasses import replace

from benchapp.acquisition.bench_state import BenchState
from benchapp.acquisition.clipping import clipped, leads_by_role, power_lead
from benchapp.acquisition.safety import Said
from benchapp.acquisition.session_log import SessionLog
from benchapp.acquisition.wishes import (
    AcknowledgeMissed,
    ChooseTest,
    ClipTo,
    CloseSession,
    Confirm,
    Describe,
    Drive,
    Drop,
    Mark,
    NewSession,
    Note,
    Pause,
    PoweredUp,
    PulseIs,
    PutBack,
    Resume,
    SayOnBench,
    StartRun,
    StopRun,
    SwitchOn,
    TakeStop,
    Undrop,
    Wish,
)
from benchapp.probe.conversation import Conversation
from benchapp.probe.timebase import Timebase
from benchapp.probe.wire import Commands
from benchapp.procedures.gate import SafetyLine
from benchapp.procedures.ground.moments import Seen
from benchapp.procedures.ground.progress import StopReason
from benchapp.records.errors import PortGone
from benchapp.records.events import EventKind
from benchapp.records.leads import LeadKind

_SEEN = {
    Pause: Seen.HAND_PAUSE,
    SwitchOn: Seen.SWITCH_ON,
    StopRun: Seen.STOP,
    TakeStop: Seen.TAKE,
}

WRITTEN_DOWN = (StopRun, Drop, Undrop, Note, Mark, Describe, PutBack)
"""Wishes that only have to be written, so that they can still be carried out while everything closes."""


class CommandHandler:
    """Turns each command into what the bench, the session and the probe do. Every refusal is a BenchError."""

    def __init__(self, bench: BenchState, log: SessionLog) -> None:
        self._bench = bench
        self._log = log
        self._held: StartRun | None = None

    def carry_out(self, wish: Wish, talk: Conversation | None) -> None:
        """Do what is asked; talk is the conversation with the probe, None while there is none."""
        match wish:
            case NewSession():
                self._new_session(wish, talk)
            case StartRun():
                self._start_run(wish)
            case Resume():
                self._bench.confirmations.demand_again(self._bench.origin, self._bench.host_ns())
                self._log.ask(Seen.CARRY_ON, self._bench.now_ns())
            case Pause() | SwitchOn() | StopRun() | TakeStop():
                self._log.ask(_SEEN[type(wish)], self._bench.now_ns())
            case Drop() | Undrop():
                self._log.drop(wish, self._bench.now_ns())
            case Note() | Mark() | Describe() | PutBack():
                self._write_down(wish)
            case Drive():
                self._drive(wish, talk)
            case CloseSession():
                self._held = None
                self._log.end_run(StopReason.SESSION_CLOSED, self._bench.seen_ns)
                self._log.close()
                self._bench.confirmations.bench_changed()
            case _:
                self._change_bench(wish)

    def stretch_opened(self) -> None:
        """Start the run that was asked for before there was a stretch."""
        if self._held is not None:
            wish, self._held = self._held, None
            self._start_run(wish)

    def _new_session(self, wish: NewSession, talk: Conversation | None) -> None:
        """Begin a session; its clock is begun anew, so that its zero is the tick of its own first start."""
        self._log.end_run(StopReason.SESSION_CLOSED, self._bench.seen_ns)
        self._log.begin(wish, self._bench.origin)
        self._bench.say_nothing()
        self._bench.begin_anew()
        if talk is not None:
            talk.timebase = Timebase()

    def _start_run(self, wish: StartRun) -> None:
        """Start a run, or hold one that nothing stands in the way of until the stretch opens."""
        if self._bench.lost:
            raise PortGone("The probe is lost, so no run can start. Plug it in again first.")
        confirmed = self._bench.confirmations.demand(self._bench.origin, self._bench.host_ns(), wish.test)
        roles = clipped(dict(wish.roles) or self._bench.roles, wish.clips, self._bench.leads)
        leads = leads_by_role(roles, self._bench.leads, test=wish.test, by_stops=bool(wish.settings.stops_deg))
        stretch = self._bench.stretch
        if stretch is None:
            self._held = wish
            return
        self._bench.roles = roles
        self._bench.say_nothing()
        said = {
            role: self._bench.polarity[lead.index] for role, lead in leads.items() if lead.index in self._bench.polarity
        }
        wish = replace(wish, polarity={**said, **wish.polarity})
        safety = {line: Said(self._bench.session_ns(said.at_ns), said.answer) for line, said in confirmed.items()}
        self._log.start_run(
            wish,
            leads,
            safety=safety,
            stretch=stretch,
            origin=self._bench.origin,
            now_ns=self._bench.now_ns(),
            power=power_lead(self._bench.leads),
        )

    def _write_down(self, wish: Note | Mark | Describe | PutBack) -> None:
        now_ns = self._bench.now_ns()
        match wish:
            case Note():
                self._log.note(EventKind.NOTE, {"text": wish.text}, now_ns)
            case Mark():
                self._log.note(EventKind.MARK, {"text": wish.text}, now_ns)
            case Describe():
                self._log.note(EventKind.BENCH, {**wish.bench}, now_ns)
            case PutBack():
                self._log.note(EventKind.PUT_BACK, {"line": wish.line, "answer": wish.answer}, now_ns)

    def _drive(self, wish: Drive, talk: Conversation | None) -> None:
        driven = any(lead.index == wish.lead and lead.kind is LeadKind.DRIVE for lead in self._bench.leads)
        if talk is not None and driven:
            talk.send(Commands.DRIVE, lead=wish.lead, level=wish.level)

    def _change_bench(
        self, wish: Confirm | SayOnBench | ChooseTest | PoweredUp | ClipTo | PulseIs | AcknowledgeMissed
    ) -> None:
        host_ns = self._bench.host_ns()
        match wish:
            case Confirm():
                said_ns = host_ns - wish.ago_ns
                self._bench.confirmations.confirm(wish.line, said_ns, yes=wish.yes, answer=wish.answer)
                answer = wish.answer if wish.yes else "no"
                self._log.note_safety(wish.line, Said(self._bench.session_ns(said_ns), answer))
            case SayOnBench():
                said_ns = host_ns - wish.ago_ns
                self._bench.confirmations.say_on_bench(wish.on_bench, said_ns, answer=wish.answer)
                said = Said(self._bench.session_ns(said_ns), wish.answer or wish.on_bench)
                self._log.note_safety(SafetyLine.ON_BENCH.value, said)
            case ChooseTest():
                self._bench.confirmations.choose_test(wish.test, host_ns)
            case PoweredUp():
                self._bench.confirmations.powered_up(host_ns)
            case ClipTo():
                self._bench.clip(wish.lead, wish.role)
                self._bench.confirmations.lead_changed(host_ns)
            case PulseIs():
                self._bench.say_pulse(wish.lead, wish.polarity)
            case AcknowledgeMissed():
                self._bench.missed = 0
