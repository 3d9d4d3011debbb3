"""The one machine that runs every named test: told the time, through the table of the test."""

from collections.abc import Iterable, Sequence
from enum import StrEnum

from benchapp.procedures.ground.drive_request import DriveRequest
from benchapp.procedures.ground.moments import Moment, Seen
from benchapp.procedures.ground.open_run import OpenRun
from benchapp.procedures.ground.parts import TestParts
from benchapp.procedures.ground.progress import STOPPED_BY_RULE, PauseReason, RunProgress, StopReason
from benchapp.procedures.ground.table import State
from benchapp.procedures.ground.timeline import Timeline
from benchapp.records.events import Event
from benchapp.records.run import Outcome
from benchapp.records.stream import Record


class Procedure:
    """One run: what happened in the order of its times, each moment looked up in the table of the test.

    It is told the time and never waits; its events do not hang on how the records are cut. see() takes what arrived,
    ask() a person's wishes; both are answered by the events that see() and finish() return, to be written into the
    session. Where a rule looks at a figure that is still being worked out, what comes after it waits its turn, so that
    a run ends at the same moment wherever its figure is made.
    """

    def __init__(self, run: OpenRun, parts: TestParts) -> None:
        self._run = run
        self._parts = parts
        self._timeline = Timeline(parts.watchers)
        self._steady = False

    @property
    def state(self) -> StrEnum:
        """The run's state, one of those in the table of its test."""
        return self._run.state

    @property
    def ended(self) -> bool:
        """Whether the run is over."""
        return self._run.ended

    @property
    def waits_for_figure(self) -> bool:
        """Whether nothing more happens in the run before its figure has been worked out."""
        return self._parts.figures.rule is not None and not self._parts.figures.up_to_date

    def see(self, records: Sequence[Record], now_ns: int) -> list[Event]:
        """Return the events that these records and the time brought.

        now_ns is the session's clock; every record stamped the test's lag before it has been given by now.
        """
        run, parts = self._run, self._parts
        run.now_ns = max(run.now_ns, now_ns)
        parts.figures.add(records)
        for record in records:
            self._timeline.take(record)
            for keep in parts.keepers:
                keep(record)
        self._settle(run.now_ns - parts.lag_ns)
        if not run.ended:
            parts.figures.refresh(run.now_ns - parts.lag_ns)
        return run.log.take()

    def ask(self, seen: Seen, now_ns: int) -> None:
        """Note a person's wish made at now_ns; it takes its turn among the records."""
        self._timeline.add(Moment(at_ns=now_ns, seen=seen, reason=StopReason.BY_HAND if seen is Seen.STOP else ""))

    def drop(self, now_ns: int, flip_ns: int | None = None) -> list[Event]:
        """Return the event that leaves one flip or stop out: the last one, or the one named.

        There is none where the test has nothing that can be left out: a sweep is fitted as a whole, and a touch in a
        hold is a pause already.
        """
        if self._parts.left_out is not None:
            self._parts.left_out.drop(now_ns, flip_ns)
        return self._run.log.take()

    def undrop(self, now_ns: int, flip_ns: int | None = None) -> list[Event]:
        """Return the event that takes a drop back: the last one, or the one named."""
        if self._parts.left_out is not None:
            self._parts.left_out.undrop(now_ns, flip_ns)
        return self._run.log.take()

    def finish(self, reason: StopReason, at_ns: int) -> list[Event]:
        """Return the events that end the run at once, everything seen so far kept."""
        self._settle(at_ns)
        while self._parts.figures.rule is not None:  # no rule is waited for any more
            self._parts.figures.rule = None
            self._settle(at_ns)
        self._handle(Moment(at_ns=max(at_ns, self._run.plan.start_ns), seen=Seen.BROKE, reason=reason))
        return self._run.log.take()

    def drive_requests(self) -> list[DriveRequest]:
        """Return what the probe is to do with the leads it drives, each thing once; nothing when nothing is due."""
        return [] if self.ended else [request for due in self._parts.drivers for request in due()]

    def progress(self) -> RunProgress:
        """Return the run as it stands."""
        run, log = self._run, self._run.log
        return self._parts.course.tell(
            RunProgress(
                run=run.plan.run,
                test=run.plan.test,
                prompt=self._parts.table.prompts[run.state],
                flips=0,
                answered=0,
                stands=self._parts.figures.stand,
                dropped=len(log.drops_ns),
                paused=log.paused,
                blocks=log.blocks,
                outcome=log.outcome,
                stop_reason=log.stop_reason,
            )
        )

    # The moments in order ---------------------------------------------------------------------------------------------

    def _settle(self, horizon_ns: int) -> None:
        """Handle everything up to the horizon, in the order of its times."""
        settled_ns, timers = self._timeline.settled_ns(horizon_ns), self._parts.course.timers
        while not self.ended and self._looked() and (moment := self._timeline.next(settled_ns, timers())):
            self._handle(moment)

    def _looked(self) -> bool:
        """Return whether the run goes on: it waits for the figure a rule looks at, and may end by it."""
        figures = self._parts.figures
        if figures.rule is None:
            return True
        if not figures.up_to_date:
            return False
        look, figures.rule = figures.rule, None
        self._apply_all(look())
        return not self.ended

    def _handle(self, moment: Moment) -> None:
        if moment.seen is Seen.TIME_OVER:
            self._run.ending = StopReason.TIME_OVER
        if moment.seen in (Seen.PULSES_STEADY, Seen.PULSES_LOST):
            self._steady = moment.seen is Seen.PULSES_STEADY
        self._apply_all(self._parts.course.means(moment))
        alone = self._run.plan.alone and self._run.log.paused == PauseReason.BAD_SIGNAL
        if alone and self._run.state is State.PAUSED and moment.seen is Seen.PULSES_STEADY:
            self._apply(Moment(at_ns=moment.at_ns, seen=Seen.CARRY_ON))

    def _apply_all(self, moments: Iterable[Moment]) -> None:
        for moment in moments:
            self._apply(moment)

    def _apply(self, moment: Moment) -> None:
        """Make the transition the table names for this moment, if it names one, and all that follows from it."""
        run = self._run
        after = self._parts.table.after(run.state, moment.seen)
        if after is None:
            return
        before, run.state = run.state, after
        if after is State.ENDED:
            self._end(moment)
            return
        self._note_pause(moment, before)
        self._apply_all(self._parts.course.entered(moment, before))
        if run.state is State.REGAINING and self._steady:
            self._apply(Moment(at_ns=moment.at_ns, seen=Seen.PULSES_STEADY))

    def _end(self, moment: Moment) -> None:
        reason = StopReason(moment.reason) if moment.reason else self._run.ending
        outcome = Outcome.COMPLETE if reason in STOPPED_BY_RULE else Outcome.CUT_SHORT
        self._run.log.stop(moment.at_ns, outcome, reason)
        self._parts.figures.make(moment.at_ns)

    def _note_pause(self, moment: Moment, before: StrEnum) -> None:
        """Log the pause that begins or ends with the new state."""
        run, table = self._run, self._parts.table
        if run.state is State.PAUSED:
            lost = moment.seen is Seen.PULSES_LOST
            run.log.pause(moment.at_ns, PauseReason.BAD_SIGNAL if lost else PauseReason.BY_HAND)
        elif run.state in table.pauses:
            run.log.pause(moment.at_ns, table.pauses[run.state])
        elif table.is_pause(before) and not table.is_pause(run.state):
            run.log.resume(moment.at_ns)
        else:
            return
        run.quiet_since_ns = moment.at_ns
