"""The bench that is open: a probe or the practice bench, what it says, and what it is asked to do."""

from collections.abc import Callable, Mapping
from concurrent.futures import Future, wait
from datetime import datetime
from functools import partial
from pathlib import Path
from typing import Any

from PySide6.QtCore import QObject, Signal, Slot

from benchapp import desk
from benchapp.acquisition.hand_orders import before_flips
from benchapp.acquisition.link_states import state_of
from benchapp.acquisition.status import Status
from benchapp.acquisition.wishes import Confirm, NewSession, PoweredUp, StartRun, SwitchOn, Wish
from benchapp.presentation.ground.messages import message_for
from benchapp.presentation.screens.lasting import lasting_message
from benchapp.records.errors import NoProbeProgram, OldProbeProgram, PortNotAllowed
from benchapp.records.leads import Lead
from benchapp.records.named_tests import times_flips
from benchapp.records.run import Origin, PickUp
from benchapp.ui.kept.session_names import free_session_path
from benchapp.ui.link.bridge import LONGEST_SHUT_MS, LONGEST_WAIT_S, Bridge
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
    run_saved = Signal(object)
    not_allowed = Signal(str)
    refused = Signal(str, str)
    needs_program = Signal(str, object)
    trouble = Signal(object)
    trouble_over = Signal()

    def __init__(self, bridge: Bridge, *, folder: Callable[[], Path], parent: QObject) -> None:
        super().__init__(parent)
        self._bridge = bridge
        self._folder = folder
        self._runs = RunWatch()
        self._switch = DrivenSwitch(self.wish, self)
        self.stick = DrivenStick(self.wish)
        self._last_message = ""
        self._shut = self._beginning = False
        self._leaving: tuple[str, Future[Any] | None] = ("", None)
        self.under_test: Mapping[str, str] = {}
        self.pick_up = PickUp.CONTACT
        self.live = LiveLeads()
        self.status: Status | None = None
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

    def note_under_test(self, fields: Mapping[str, str]) -> None:
        """Take what is noted of the set and the bench, for the next session that begins."""
        self.under_test = fields

    def choose_pick_up(self, pick_up: PickUp) -> None:
        """Take how the flip reaches the probe."""
        self.pick_up = pick_up

    def _take_leads(self, status: Status | None) -> None:
        self._switch.take_status(status)
        self.stick.take_status(status)

    def open_bench(self, url: str, words: str) -> None:
        """Open a probe or the practice bench; words name it while it is looked for."""
        self.close_bench()
        self.opening.emit(words)
        refused = partial(self._bench_refused, url)
        self._bridge.submit(
            lambda: desk.bench.open_bench(url),
            done=self._bench_open,
            failed=refused,
            on_port=True,
            what=url,
            said_after_s=LONGEST_WAIT_S,
        )

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

    def after_leaving(self, path: Path, work: Callable[[], Any]) -> Callable[[], Any]:
        """Return the work, to be begun on a worker once the session at path is no longer being closed."""
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
        """Start a run; the session file is begun with the first one, once its folder is there."""
        if self.status is None or self._beginning:
            return
        if self.status.session:
            self._start_run(wish)
            return
        self._beginning = True
        now = datetime.now().astimezone()
        named = self.under_test.get("name", "").strip()
        name = named or ("Practice bench" if self.practising else "Session")
        folder, recording = self._folder(), self._bridge.recording

        def begin(path: Path) -> None:
            self._beginning = False
            if self._bridge.recording is recording:
                bench = {key: value for key, value in self.under_test.items() if value and key != "name"}
                self.wish(NewSession(path=path, name=name, started=now.isoformat(timespec="seconds"), bench=bench))
                self._start_run(wish)

        work = partial(_new_session_path, folder, name, now)
        self._bridge.submit(work, done=begin, failed=self._not_begun, what=str(folder))

    def _not_begun(self, error: BaseException) -> None:
        self._beginning = False
        self._failed(error)

    def _start_run(self, wish: StartRun) -> None:
        if times_flips(wish.test):
            self.stick.order(before_flips(self.driven_level))
        self.wish(wish)

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
            self.run_saved.emit(Path(saved))


def _after(future: Future[Any], work: Callable[[], Any]) -> Any:
    """Do the work after what comes before it has ended, or took too long; done on the worker."""
    wait([future], timeout=LONGEST_SHUT_MS / 1e3)
    return work()


def _new_session_path(folder: Path, name: str, now: datetime) -> Path:
    """Make the folder and return a path in it at which there is nothing yet; done on the worker. Raises OSError."""
    folder.mkdir(parents=True, exist_ok=True)
    return free_session_path(folder, name=name, now=now)
