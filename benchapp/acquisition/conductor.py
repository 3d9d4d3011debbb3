"""The thread that talks to the probe: it reads, stamps, records, and shows the run what came."""

import logging
import queue
import threading
from collections.abc import Callable

from benchapp.acquisition.bench_state import BenchState
from benchapp.acquisition.clocks import HostClocks
from benchapp.acquisition.command_handler import WRITTEN_DOWN, CommandHandler
from benchapp.acquisition.feed import Feed
from benchapp.acquisition.figures import FigureThread
from benchapp.acquisition.link_states import state_of
from benchapp.acquisition.session_log import SessionLog
from benchapp.acquisition.status import LinkState, Status
from benchapp.acquisition.wishes import NewSession, Wish
from benchapp.acquisition.writer import Writer
from benchapp.probe.conversation import Conversation
from benchapp.probe.greeting import greet
from benchapp.probe.link import Link, stands_still
from benchapp.probe.messages import LeadFrame
from benchapp.probe.timebase import Answer, Output, ProbeState, StretchOpened
from benchapp.probe.wire import Commands, Decoder
from benchapp.procedures.ground.progress import StopReason
from benchapp.records.errors import (
    BenchError,
    PortGone,
    ProbeTrouble,
    SessionTakenAway,
    SystemTrouble,
)
from benchapp.records.leads import Stretch
from benchapp.records.stream import ClockPairs, Edges, Gap, Levels, Record

COMMIT_EVERY_NS = 250_000_000
"""By the computer's clock: a practice bench at a flat pace lives through minutes while the disk turns once."""
SILENCE_NS = 3_000_000_000
"""A probe sends ten heartbeats a second; one that says nothing for this long is lost."""
SLEPT_NS = 1_000_000_000
PUBLISH_EVERY_NS = 50_000_000
LONGEST_FIGURE_S = 15.0
LEAVE_FIGURE_S = 1.0
WAIT_S = 0.05
WAITS_TO_TRY_AGAIN = 20
"""A lost probe is looked for once a second; wishes are heard in between."""

_log = logging.getLogger(__name__)


class Conductor:
    """Owns the link. One thread calls run(); others only wish() and read snapshot, failure and the events.

    patient: after a loss it waits for the probe to come back; otherwise a loss ends the recording.
    """

    def __init__(
        self,
        open_link: Callable[[], Link],
        writer: Writer,
        log: SessionLog,
        feed: Feed | None,
        figures: FigureThread,
        *,
        clocks: HostClocks,
        patient: bool,
        describe: Callable[[Stretch], Stretch] = lambda stretch: stretch,
    ) -> None:
        self._open_link = open_link
        self._describe = describe
        self._writer = writer
        self._log = log
        self._feed = feed
        self._figures = figures
        self._clocks = clocks
        self._patient = patient
        self._wishes: queue.SimpleQueue[Wish] = queue.SimpleQueue()
        self._talk: Conversation | None = None
        self._link: Link | None = None
        self._lost_talk: Conversation | None = None
        self._bench = BenchState()
        self._commands = CommandHandler(self._bench, log)
        self._waits = 0
        self._published_ns = 0
        self._committed_ns = 0
        self.stepped_ns = clocks.monotonic_ns()
        self._asleep_ns = clocks.asleep_ns()
        self._done = self._broken = False
        self.stopping = threading.Event()
        self.opened = threading.Event()
        self.finished = threading.Event()
        self.failure: BenchError | None = None
        self.snapshot: Status = self._bench.status(LinkState.LOOKING, log)

    def wish(self, wish: Wish) -> None:
        """Ask for something; may be called from any thread."""
        self._wishes.put(wish)

    def run(self) -> None:
        """Record until told to stop, or until a run that is alone has ended."""
        try:
            self._begin()
            while not self.stopping.is_set() and not self._done:
                self.step()
        except BenchError as failure:
            self.failure = failure
            _log.error("the recording ended: %s", type(failure).__name__)
        except BaseException as fault:
            self._broken = True
            self.failure = _unforeseen(fault)
            raise
        finally:
            self._shut()

    def step(self) -> None:
        """Take the wishes and the next bytes, and do what follows from them."""
        self.stepped_ns = self._clocks.monotonic_ns()
        self._take_wishes()
        if self._talk is None:
            self._try_again()
            return
        try:
            self._take(self._talk.read())
            if self._talk.silent_ns > SILENCE_NS:
                raise PortGone(
                    f"{self._talk.link.name} has said nothing for {SILENCE_NS / 1e9:g} s. Look at its cable."
                )
        except ProbeTrouble as trouble:
            self._lose(trouble)

    def _begin(self) -> None:
        """Meet the probe before anything is written: a stranger costs no file."""
        self._link = link = self._open_link()
        leads = {frame.lead.index: frame.lead for frame in greet(link, Decoder()) if isinstance(frame, LeadFrame)}
        self._bench.meet(link, [leads[index] for index in sorted(leads)])
        self._take_wishes()
        self._talk = Conversation(link)
        self._take(self._talk.begin())
        self.opened.set()

    def _take(self, outputs: list[Output]) -> None:
        """Pass on everything that came, a stretch at a time."""
        records: list[Record] = []
        for output in outputs:
            match output:
                case StretchOpened():
                    self._see(records)
                    records = []
                    self._open_stretch(output.stretch)
                case ProbeState():
                    self._bench.lead_levels = output.heartbeat.lead_levels
                case Edges() | Levels() | ClockPairs() | Gap():
                    records.append(output)
                    self._pass_on(output)
                case Answer():
                    pass  # the conversation has seen to it
        self._see(records)
        self._watch_over()

    def _pass_on(self, record: Record) -> None:
        self._bench.take(record)
        self._log.add_record(record)
        if self._feed is not None:
            self._feed.push(record)

    def _open_stretch(self, opened: Stretch) -> None:
        stretch = self._describe(opened)
        self._log.end_run(StopReason.PROBE_RESET, self._bench.seen_ns)
        if self._link is not None:
            self._bench.open_stretch(stretch, self._link)
        self._log.open_stretch(stretch)
        if self._feed is not None:
            self._feed.push(stretch)
        self._commands.stretch_opened()

    def _see(self, records: list[Record]) -> None:
        self._log.see(records, self._bench.now_ns())
        if self._feed is not None:  # somebody looks
            self._bench.flips.see(records, self._bench.now_ns())
        self._wait_for_figure()
        procedure, stretch = self._log.procedure, self._bench.stretch
        if procedure is None or self._talk is None or stretch is None:
            return
        for wanted in procedure.drive_requests():
            tick = _tick(stretch, wanted.at_ns)
            self._talk.send(Commands.DRIVE_AT, lead=wanted.lead, level=wanted.level, tick=tick)

    def _wait_for_figure(self) -> None:
        """Let a bench whose time stands still meanwhile wait for a figure its run needs; a port is read on."""
        if self._figures.fault is not None:
            raise self._figures.fault
        while self._log.waits_for_figure and self._link is not None and stands_still(self._link):
            if not self._figures.wait(LONGEST_FIGURE_S):
                raise _no_figure()
            self._log.see((), self._bench.now_ns())

    def _watch_over(self) -> None:
        """Do what only time brings: resets, sleep, the disk, the next commit, the next snapshot."""
        if self._talk is not None and self._talk.stretch is None:
            self._log.end_run(StopReason.PROBE_RESET, self._bench.seen_ns)
        self._watch_sleep()
        self._watch_disk()
        clock_ns = self._clocks.monotonic_ns()
        if clock_ns - self._committed_ns >= COMMIT_EVERY_NS:
            self._committed_ns = clock_ns
            self._log.commit()
        if self._log.plan is not None and self._log.plan.alone and not self._log.running:
            self._done = True
        self._publish()

    def _watch_sleep(self) -> None:
        asleep_ns = self._clocks.asleep_ns()
        if asleep_ns - self._asleep_ns > SLEPT_NS:
            self._log.end_run(StopReason.COMPUTER_SLEPT, self._bench.seen_ns)
            if self._talk is not None:
                self._talk.send(Commands.IDENTIFY)
        self._asleep_ns = asleep_ns

    def _watch_file(self) -> None:
        """Say at once where the session is kept now, when its file was taken away."""
        path = self._writer.moved_to
        if path is None or not self._log.recording or str(path) == self._log.path:
            return
        gone = self._log.path
        self._log.move(str(path))
        self._bench.say(
            SessionTakenAway(f"{gone} was taken away or replaced while it was being recorded."),
            kept=f"The recording goes on in {path}, with everything from before.",
        )
        self._publish(at_once=True)

    def _watch_disk(self) -> None:
        self._watch_file()
        trouble = self._writer.trouble
        if trouble is None or not self._log.recording:
            return
        saved = self._writer.saved
        kept = trouble.kept
        if not isinstance(trouble, SessionTakenAway):
            kept = f"{saved.records if saved else 0} records are safe in {self._log.path}."
        self._log.end_run(StopReason.DISK_TROUBLE, self._bench.seen_ns)
        self._log.lose()
        self._bench.say(trouble, kept=kept)
        if not self._patient:
            trouble.kept = self._bench.kept
            raise trouble

    def _lose(self, trouble: ProbeTrouble) -> None:
        """Keep everything, end the run, and wait for the probe if there is patience."""
        self._log.end_run(StopReason.PROBE_LOST, self._bench.seen_ns)
        self._log.commit()
        if self._log.recording:
            trouble.kept = trouble.kept or f"Everything up to then is in {self._log.path}."
        if self._talk is not None:
            self._talk.link.close()
            self._talk.timebase.unplugged()
        self._lost_talk, self._talk = self._talk, None
        self._bench.lose()
        if not self._patient:
            raise trouble
        self._bench.say(trouble)
        self._publish(LinkState.LOST)

    def _try_again(self) -> None:
        """Look for the probe once a second; what it sends then is a new stretch."""
        self._waits += 1
        if self.stopping.wait(WAIT_S) or self._waits % WAITS_TO_TRY_AGAIN or self._lost_talk is None:
            return
        link = None
        try:
            link = self._open_link()
            outputs = self._lost_talk.reconnect(link)
        except ProbeTrouble as trouble:
            if link is not None:
                link.close()  # or the next try would find the port in use
            self._bench.say(trouble, kept=self._bench.kept)
            self._publish(state_of(trouble) or LinkState.LOST)
            return
        self._link = link
        self._talk, self._lost_talk = self._lost_talk, None
        self._bench.say_nothing()
        self._take(outputs)

    def _take_wishes(self) -> None:
        while not self._wishes.empty():
            wish = self._wishes.get()
            try:
                # A new session begins its clock anew, also that of a probe which is to come back.
                talk = self._lost_talk if isinstance(wish, NewSession) and self._talk is None else self._talk
                self._commands.carry_out(wish, talk)
                self._publish(at_once=True)
            except BenchError as refusal:
                self._bench.say(refusal)
                self._publish(at_once=True)
                if not self._patient:
                    raise

    def _publish(self, state: LinkState | None = None, *, at_once: bool = False) -> None:
        """Make a new snapshot, at most twenty a second unless there is something new."""
        at_ns = self._clocks.monotonic_ns()
        at_once = at_once or state is not None or self._done
        if not at_once and at_ns - self._published_ns < PUBLISH_EVERY_NS:
            return
        self._published_ns = at_ns
        self.snapshot = self._bench.status(state or self._state(), self._log)

    def _state(self) -> LinkState:
        if self._talk is None:
            return LinkState.LOST if self._lost_talk is not None else LinkState.LOOKING
        if self._talk.stretch is None:
            return LinkState.LOOKING
        if self._log.running:
            progress = self._log.progress
            return LinkState.PAUSED if progress is not None and progress.paused else LinkState.RECORDING
        return LinkState.RECORDING if self._log.recording else LinkState.READY

    def _write_down_last_wishes(self) -> None:
        """Carry out what was asked before the end and only has to be written."""
        while not self._wishes.empty():
            wish = self._wishes.get()
            if isinstance(wish, WRITTEN_DOWN):
                self._commands.carry_out(wish, None)

    def _shut(self) -> None:
        """Let go of everything, in order: the run, the port, the session file; what fails holds up nothing after it."""
        for part in (
            self._write_down_last_wishes,
            self._end_last_run,
            self._let_go,
            self._log.close,
            self._writer.quit,
            self._end_figures,
            self._publish_last,
        ):
            try:
                part()
            except BenchError as trouble:
                self.failure = self.failure or trouble
            except Exception as fault:  # noqa: BLE001 - somebody waits for the end, whatever happened
                _log.exception("something unforeseen while closing")
                self.failure = self.failure or _unforeseen(fault)
        self.opened.set()
        self.finished.set()

    def _end_last_run(self) -> None:
        if not self._log.running:
            return
        reason = StopReason.UNFORESEEN if self._broken else StopReason.SESSION_CLOSED
        try:
            self._log.end_run(reason, self._bench.now_ns())
        except Exception:
            self._log.break_run(StopReason.UNFORESEEN, self._bench.now_ns())
            raise

    def _let_go(self) -> None:
        talk, self._talk = self._talk, None
        if talk is not None:
            talk.close()
        elif self._link is not None:
            self._link.close()

    def _end_figures(self) -> None:
        """Have the last figure, where somebody waits for it, as the end of what the run shows."""
        longest_s = LEAVE_FIGURE_S if self._patient else LONGEST_FIGURE_S
        if not self._figures.quit(longest_s) and not self._patient:
            raise _no_figure()

    def _publish_last(self) -> None:
        self.failure = self.failure or self._writer.trouble
        if self.failure is not None:
            self._bench.say(self.failure, kept=self.failure.kept)
        self._publish(LinkState.CLOSED)


def _no_figure() -> SystemTrouble:
    return SystemTrouble(
        f"The figure was not worked out within {LONGEST_FIGURE_S:g} s, which the run waited for.",
        kept="The evidence is kept: reduce the file for its figures.",
    )


def _unforeseen(fault: BaseException) -> SystemTrouble:
    return SystemTrouble(
        f"The recording stopped at something this program did not expect ({type(fault).__name__}).",
        kept="What was saved up to then is kept.",
    )


def _tick(stretch: Stretch, at_ns: int) -> int:
    """Return the probe's own count at a moment of the session's clock."""
    tick = stretch.origin_tick + (at_ns - stretch.origin_ns) * stretch.board.tick_hz // 1_000_000_000
    return tick & 0xFFFF_FFFF
