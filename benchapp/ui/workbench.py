"""What is on the bench now: the recording, the session file, and the findings made from it."""

import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from functools import partial
from pathlib import Path
from typing import Any

from PySide6.QtCore import QObject, QTimer, Signal, Slot

from benchapp.acquisition.status import LinkState, Status
from benchapp.acquisition.wishes import Confirm, Drive, NewSession, PoweredUp, StartRun, SwitchOn, Wish
from benchapp.presentation.lasting import lasting_message
from benchapp.presentation.messages import message_for
from benchapp.records.leads import Lead, LeadKind
from benchapp.records.run import Origin, PickUp
from benchapp.records.stream import Edges
from benchapp.ui.bridge import Bridge
from benchapp.ui.desk_calls import DeskCalls, OpenSession
from benchapp.ui.live_leads import LiveLeads
from benchapp.ui.session_names import free_session_path

_LONGEST_WAIT_FOR_SAVING_S = 3.0
_HEARTBEAT_WAIT_S = 0.4
"""A probe tells its leads' levels ten times a second."""
_POWER = "radio power"
_OFF_MS = 500


@dataclass(kw_only=True, slots=True)
class _Ended:
    """A run that ended and whose findings are still to be made."""

    run: int
    seen_s: float


class Workbench(QObject):
    """Carries wishes to the recording and tells the pages what came of them."""

    opening = Signal(str)
    opened = Signal()
    closed = Signal()
    status_changed = Signal(object)
    frame = Signal()
    telling = Signal()
    run_ended = Signal(int)
    session_opened = Signal(object)
    report_written = Signal(object)
    trouble = Signal(object)
    trouble_over = Signal()

    def __init__(self, desk: DeskCalls, bridge: Bridge, *, folder: Callable[[], Path], parent: QObject) -> None:
        super().__init__(parent)
        self._desk = desk
        self._bridge = bridge
        self._folder = folder
        self._ended: _Ended | None = None
        self._last_outcome: tuple[int, str] = (0, "")
        self._driven_level = 0
        self._driven_s = 0.0
        self._last_message = ""
        self._shut = False
        self.bench: dict[str, str] = {}
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
        """Return the lead the probe can drive under that name, if it has one."""
        leads = self.status.leads if self.status else ()
        return next((lead for lead in leads if lead.kind is LeadKind.DRIVE and lead.label == label), None)

    def open_bench(self, url: str, words: str) -> None:
        """Open a probe or the practice bench; words name it while it is looked for."""
        self.close_bench()
        self.opening.emit(words)
        self._bridge.submit(partial(self._desk.open_bench, url), done=self._bench_open, failed=self._failed)

    def shut(self) -> None:
        """End every thread; whatever was recorded is kept."""
        self._shut = True
        self._bridge.close()

    def _bench_open(self, recording: Any) -> None:
        if self._shut:
            recording.close()  # it was still being looked for when the window closed
            return
        self.live = LiveLeads()
        self.session = None
        self._driven_level = 0
        self._last_message = ""
        self._last_outcome = (0, "")
        self._bridge.attach(recording)
        self.status = recording.status()
        self.opened.emit()
        self.status_changed.emit(self.status)

    def close_bench(self) -> None:
        """Let go of the probe; whatever was recorded is kept."""
        recording = self._bridge.detach()
        if recording is None:
            return
        recording.close()
        self.status = None
        self.closed.emit()

    def wish(self, wish: Wish) -> None:
        """Pass a wish on; without a bench it goes nowhere."""
        if self._bridge.recording is not None:
            self._bridge.recording.wish(wish)

    def confirm(self, line: str, *, yes: bool) -> None:
        """Confirm one safety line, or take it back."""
        self.wish(Confirm(line=line, yes=yes))

    def flip(self) -> None:
        """Flip the switch through the lead that drives it, if there is one."""
        lead = self.drive_lead()
        if lead is not None:
            self._driven_level = 1 - self._driven_level
            self._driven_s = time.monotonic()
            self.wish(Drive(lead=lead.index, level=self._driven_level))

    def switch_on_again(self) -> None:
        """Open the next switch-on block; where the probe holds the radio's power, switch it off and on as well."""
        self.wish(SwitchOn())
        if not self.practising:
            self.wish(PoweredUp())  # the model goes off with its transmitter: every safety line is asked anew
        lead = self.drive_lead(_POWER)
        if lead is not None:
            self.wish(Drive(lead=lead.index, level=0))
            QTimer.singleShot(_OFF_MS, self._power_up)

    @Slot()
    def _power_up(self) -> None:
        lead = self.drive_lead(_POWER)
        if lead is not None:
            self.wish(Drive(lead=lead.index, level=1))

    @property
    def driven_level(self) -> int:
        """Where the driven switch stands: as its own edges tell, or as it was last set."""
        return self._driven_level

    def start_run(self, wish: StartRun) -> None:
        """Start a run; the session file is begun with the first one."""
        if self.status is None:
            return
        if self.status.session or self._begin_session(self.status):
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
        self._bridge.submit(partial(_read_session, self._desk, path), done=self._session_read, failed=self._failed)

    def write_report(self, folder: Path) -> None:
        """Write the report of the session on screen."""
        if self.session is not None:
            work = partial(self._desk.write_report, self.session.path, folder)
            self._bridge.submit(work, done=self._report_done, failed=self._failed)

    def _session_read(self, session: OpenSession) -> None:
        self.session = session
        self.session_opened.emit(session)

    def _report_done(self, folder: Path) -> None:
        self.report_written.emit(folder)

    def _failed(self, error: BaseException) -> None:
        self.trouble.emit(message_for(error))

    @Slot(list)
    def _take_items(self, items: list[Any]) -> None:
        self.live.take(items)
        lead = self.drive_lead()
        for item in items:
            if lead is not None and isinstance(item, Edges) and item.lead == lead.index and item.count:
                self._driven_level = int(item.levels[-1])

    @Slot(object)
    def _take_status(self, status: Status) -> None:
        self.status = status
        self._follow_switch(status)
        self._watch_run(status)
        self._watch_trouble(status)
        self.status_changed.emit(status)

    def _follow_switch(self, status: Status) -> None:
        """Take over where the driven switch stands; a wish just made is not in the heartbeat yet."""
        lead = self.drive_lead()
        if lead is not None and time.monotonic() - self._driven_s > _HEARTBEAT_WAIT_S:
            self._driven_level = status.lead_levels >> lead.index & 1

    def _watch_trouble(self, status: Status) -> None:
        if status.message == self._last_message:
            return
        self._last_message = status.message
        if status.message:
            self.trouble.emit(lasting_message(status.message, kept=status.kept, trouble=status.trouble))
        else:
            self.trouble_over.emit()

    def _watch_run(self, status: Status) -> None:
        run = status.run
        if run is not None and (run.run, run.outcome) != self._last_outcome:
            self._last_outcome = (run.run, run.outcome)
            if run.outcome:
                self._ended = _Ended(run=run.run, seen_s=time.monotonic())
                self.run_ended.emit(run.run)
        if self._ended is not None and status.session and self._is_saved(status, self._ended):
            self._ended = None
            self.open_session(Path(status.session))

    def _is_saved(self, status: Status, ended: _Ended) -> bool:
        """Return whether a commit came after the run's end was seen, so that its end is in the file."""
        waited_s = time.monotonic() - ended.seen_s
        if waited_s > _LONGEST_WAIT_FOR_SAVING_S or status.link in {LinkState.LOST, LinkState.CLOSED}:
            return True
        return status.saved_ago_s is not None and status.saved_ago_s < waited_s


def _read_session(desk: DeskCalls, path: Path) -> OpenSession:
    """Read and reduce a session; done on the worker, so it makes values only."""
    loaded = desk.load(path)
    return OpenSession(path=path, loaded=loaded, page=desk.build_page(loaded))
