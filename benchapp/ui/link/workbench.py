"""What is on the bench now: the recording, the session file, and the findings made from it."""

from collections.abc import Callable, Mapping
from concurrent.futures import Future, wait
from datetime import datetime
from functools import partial
from pathlib import Path
from typing import Any

from PySide6.QtCore import QObject, Signal, Slot

from benchapp.acquisition.hand_orders import before_flips
from benchapp.acquisition.link_states import state_of
from benchapp.acquisition.status import Status
from benchapp.acquisition.wishes import Confirm, Describe, NewSession, PoweredUp, StartRun, SwitchOn, Wish
from benchapp.presentation.ground.human_ruler import Flight
from benchapp.presentation.ground.messages import message_for
from benchapp.presentation.screens.lasting import lasting_message
from benchapp.presentation.screens.shelf_words import not_writable_message
from benchapp.records.errors import DiskTrouble, NoProbeProgram, OldProbeProgram, PortNotAllowed
from benchapp.records.leads import Lead
from benchapp.records.named_tests import times_flips
from benchapp.records.run import Origin, PickUp
from benchapp.ui.kept.session_names import free_session_path
from benchapp.ui.link.bridge import LONGEST_SHUT_MS, Bridge
from benchapp.ui.link.desk_calls import DeskCalls, OpenSession
from benchapp.ui.link.driven_stick import DrivenStick
from benchapp.ui.link.driven_switch import DrivenSwitch
from benchapp.ui.link.live_leads import LiveLeads
from benchapp.ui.link.run_watch import RunWatch

_FROM_OUTSIDE = frozenset({PickUp.TAPED, PickUp.LIGHT_GATE})


class Workbench(QObject):
    """Carries wishes to the recording and tells the pages what came of them."""

    opening = Signal(str)
    opened = Signal()
    closed = Signal()
    status_changed = Signal(object)
    frame = Signal()
    telling = Signal()
    run_ended = Signal(int)
    not_allowed = Signal(str)
    refused = Signal(str, str)
    needs_program = Signal(str, object)
    session_opened = Signal(object)
    session_left = Signal()
    session_refused = Signal(object, object)
    report_written = Signal(object)
    described = Signal()
    not_writable = Signal(object, object)
    trouble = Signal(object)
    trouble_over = Signal()

    def __init__(self, desk: DeskCalls, bridge: Bridge, *, folder: Callable[[], Path], parent: QObject) -> None:
        super().__init__(parent)
        self._desk = desk
        self._bridge = bridge
        self._folder = folder
        self._runs = RunWatch()
        self._switch = DrivenSwitch(self.wish, self)
        self.stick = DrivenStick(self.wish)
        self._last_message = ""
        self._shut = False
        self._leaving: tuple[str, Future[Any] | None] = ("", None)
        self.bench: dict[str, str] = {}
        self.report_photo = True
        self.report_flight = Flight()
        self.pick_up = PickUp.CONTACT
        self.live = LiveLeads()
        self.status: Status | None = None
        self.session: OpenSession | None = None
        bridge.items_arrived.connect(self._take_items)
        bridge.status_taken.connect(self._take_status)
        bridge.frame.connect(self.frame)
        bridge.telling.connect(self.telling)

    @property
    def practising(self) -> bool:
        """Whether the practice bench is open."""
        return self.status is not None and self.status.origin is Origin.PRACTICE

    @property
    def running(self) -> bool:
        """Whether a run goes on."""
        run = self.status.run if self.status else None
        return run is not None and not run.outcome

    def drive_lead(self, label: str = "flip") -> Lead | None:
        """Return the lead the probe can drive under that name, if it has one.

        Where the flip reaches the probe from outside a closed set, nothing lies across its contact to flip it with.
        On Leads a real set's switch is flipped only once *Make it safe* is confirmed: a servo moves with it.
        """
        if self.pick_up in _FROM_OUTSIDE and not self.practising:
            return None
        return self._switch.lead(label)

    def lead_of(self, role: str) -> Lead | None:
        """Return the lead that is clipped to a role, None where none is."""
        if self.status is None:
            return None
        leads = {lead.index: lead for lead in self.status.leads}
        return next((leads[index] for index, own in self.status.roles.items() if own == role and index in leads), None)

    def show_file(self, path: Path) -> None:
        """Hand a file to the program the system opens it with."""
        self._desk.show_file(path)

    def _take_leads(self, status: Status | None) -> None:
        self._switch.take_status(status)
        self.stick.take_status(status)

    def open_bench(self, url: str, words: str) -> None:
        """Open a probe or the practice bench; words name it while it is looked for."""
        self.close_bench()
        self.opening.emit(words)
        refused = partial(self._bench_refused, url)
        work = partial(self._desk.open_bench, url)
        self._bridge.submit(work, done=self._bench_open, failed=refused, on_port=True)

    def shut(self) -> None:
        """Let every thread end; whatever was recorded is kept."""
        self._shut = True
        self._bridge.shut()

    def _bench_refused(self, url: str, error: BaseException) -> None:
        self._failed(error)
        state = state_of(error)
        self.refused.emit(url, "" if state is None else state.value)
        if isinstance(error, PortNotAllowed) and not self._shut:
            self.not_allowed.emit(url)
        if isinstance(error, NoProbeProgram | OldProbeProgram) and not self._shut:
            self.needs_program.emit(url, message_for(error))

    def _bench_open(self, recording: Any) -> None:
        if self._shut:
            self._bridge.release(recording)  # it was still being looked for when the window closed
            return
        self.live = LiveLeads()
        self.session = None
        self._last_message = ""
        self._runs.begin()
        self._switch.begin()
        self._bridge.attach(recording)
        self.status = recording.status()
        self._take_leads(self.status)
        self.opened.emit()
        self.status_changed.emit(self.status)

    def close_bench(self) -> None:
        """Let go of the probe; whatever was recorded is kept."""
        recording = self._bridge.detach()
        if recording is None:
            return
        session = self.status.session if self.status is not None else ""
        future = self._bridge.release(recording, self._let_go_done)
        self._leaving = (session, future)
        self.status = None
        self._take_leads(None)
        self.closed.emit()

    def _let_go_done(self, failure: BaseException | None) -> None:
        if failure is not None and str(failure) != self._last_message:
            self._failed(failure)

    def _after_leaving(self, path: Path, work: Callable[[], Any]) -> Callable[[], Any]:
        """Return the work, to be begun once the session at path is no longer being closed."""
        session, future = self._leaving
        return partial(_after, future, work) if future is not None and session == str(path) else work

    def let_go(self) -> bool:
        """Let go of a real probe, so that its port is free; return whether that may be: never while a run goes on."""
        if self.running:
            return False
        if self.status is not None and self.status.origin is Origin.PROBE:
            self.close_bench()
        return True

    def wish(self, wish: Wish) -> None:
        """Pass a wish on; without a bench it goes nowhere."""
        if self._bridge.recording is not None:
            self._bridge.recording.wish(wish)

    def confirm(self, line: str, *, yes: bool) -> None:
        """Confirm one safety line, or take it back."""
        self.wish(Confirm(line=line, yes=yes))

    def flip(self) -> None:
        """Flip the switch through the lead that drives it, if there is one."""
        self._switch.flip()

    def switch_on_again(self) -> None:
        """Open the next switch-on block; where the probe holds the radio's power, switch it off and on as well."""
        self.wish(SwitchOn())
        if not self.practising:
            self.wish(PoweredUp())  # the model goes off with its transmitter: every safety line is asked anew
        self._switch.power_cycle()

    @property
    def driven_level(self) -> int:
        """Where the driven switch stands: as its own edges tell, or as it was last set."""
        return self._switch.level

    def start_run(self, wish: StartRun) -> None:
        """Start a run; the session file is begun with the first one."""
        if self.status is None:
            return
        if self.status.session or self._begin_session(self.status):
            if times_flips(wish.test):
                self.stick.order(before_flips(self.driven_level))
            self.wish(wish)

    def _begin_session(self, status: Status) -> bool:
        """Begin a session file; return whether its folder is there."""
        now = datetime.now().astimezone()
        named = self.bench.get("name", "").strip()
        name = named or ("Practice bench" if status.origin is Origin.PRACTICE else "Session")
        folder = self._folder()
        try:
            folder.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            self.trouble.emit(message_for(error))
            return False
        path = free_session_path(folder, name=name, now=now)
        bench = {key: value for key, value in self.bench.items() if value and key != "name"}
        self.wish(NewSession(path=path, name=name, started=now.isoformat(timespec="seconds"), bench=bench))
        return True

    def open_session(self, path: Path) -> None:
        """Read a session file and make its findings."""
        refused = partial(self._session_refused, path)
        work = self._after_leaving(path, partial(_read_session, self._desk, path))
        self._bridge.submit(work, done=self._session_read, failed=refused)

    @Slot(object)
    def leave_session(self, path: Path) -> None:
        """Take a session that was deleted off the screen; any other stays."""
        if self.session is not None and self.session.path.absolute() == path.absolute():
            self.session = None
            self.session_left.emit()

    def describe(self, fields: Mapping[str, str]) -> None:
        """Add fields of what is under test to the session on screen and read it again; its evidence stays as it was."""
        if self.session is None or not fields:
            return
        path = self.session.path
        if self.status is not None and self.status.session == str(path):
            self.wish(Describe(bench=fields))
            self.described.emit()
            return
        work = self._after_leaving(path, partial(_describe_session, self._desk, path, fields))
        self._bridge.submit(work, done=self._described, failed=partial(self._not_described, fields))

    def describe_copy(self, folder: Path, fields: Mapping[str, str]) -> None:
        """Copy the session on screen into a folder, add the fields to the copy and show that."""
        if self.session is not None:
            work = partial(_describe_copy, self._desk, self.session.path, folder, fields)
            self._bridge.submit(work, done=self._described, failed=self._failed)

    def _not_described(self, fields: Mapping[str, str], error: BaseException) -> None:
        if isinstance(error, DiskTrouble):
            self.not_writable.emit(not_writable_message(message_for(error).details), fields)
        else:
            self._failed(error)

    def _described(self, session: OpenSession) -> None:
        self.session = session
        self.described.emit()
        self.session_opened.emit(session)

    def write_report(self, folder: Path) -> None:
        """Write the report of the session on screen."""
        if self.session is not None:
            path = self.session.path
            work = self._after_leaving(
                path, partial(self._desk.write_report, path, folder, self.report_photo, self.report_flight)
            )
            self._bridge.submit(work, done=self._report_done, failed=self._failed)

    def _session_read(self, session: OpenSession) -> None:
        self.session = session
        self.session_opened.emit(session)

    def _session_refused(self, path: Path, error: BaseException) -> None:
        self.session_refused.emit(path, message_for(error))
        self._failed(error)

    def _report_done(self, folder: Path) -> None:
        self.report_written.emit(folder)

    def _failed(self, error: BaseException) -> None:
        self.trouble.emit(message_for(error))

    @Slot(list)
    def _take_items(self, items: list[Any]) -> None:
        self.live.take(items)
        self._switch.take_items(items)

    @Slot(object)
    def _take_status(self, status: Status) -> None:
        self.status = status
        self._take_leads(status)
        self._watch_run(status)
        self._watch_trouble(status)
        self.status_changed.emit(status)

    def _watch_trouble(self, status: Status) -> None:
        if status.message == self._last_message:
            return
        self._last_message = status.message
        if status.message:
            self.trouble.emit(lasting_message(status.message, kept=status.kept, trouble=status.trouble))
        else:
            self.trouble_over.emit()

    def _watch_run(self, status: Status) -> None:
        ended = self._runs.ended_run(status)
        if ended is not None:
            self.run_ended.emit(ended)
        saved = self._runs.saved_session(status)
        if saved:
            self.open_session(Path(saved))


def _after(future: Future[Any], work: Callable[[], Any]) -> Any:
    """Do the work after what comes before it has ended, or took too long; done on the worker."""
    wait([future], timeout=LONGEST_SHUT_MS / 1e3)
    return work()


def _describe_session(desk: DeskCalls, path: Path, fields: Mapping[str, str]) -> OpenSession:
    """Note the fields and read the session again; done on the worker."""
    desk.note_bench(path, fields)
    return _read_session(desk, path)


def _describe_copy(desk: DeskCalls, path: Path, folder: Path, fields: Mapping[str, str]) -> OpenSession:
    """Copy the session, note the fields in the copy and read that; done on the worker."""
    return _describe_session(desk, desk.copy_session(path, folder), fields)


def _read_session(desk: DeskCalls, path: Path) -> OpenSession:
    """Read and reduce a session; done on the worker, so it makes values only."""
    loaded = desk.load(path)
    return OpenSession(path=path, loaded=loaded, page=desk.build_page(loaded))
