"""The switch-flip run: it counts flips, asks the reduction for the figure, and knows when there is enough."""

from array import array
from bisect import bisect_right
from collections.abc import Callable, Sequence

from benchapp.procedures.flips.driven_flips import DrivenFlips
from benchapp.procedures.flips.figure_so_far import FigureSoFar, figure_of
from benchapp.procedures.flips.power_cycle import PowerCycle
from benchapp.procedures.flips.stop_rules import TargetRule, flips_left, minutes_left, out_of_reach, switch_ons_left
from benchapp.procedures.flips.switch_on_plan import is_last, switch_on_due
from benchapp.procedures.flips.table import NEXT, PAUSES, State
from benchapp.procedures.flips.timeline import Timeline
from benchapp.procedures.ground.conclusions import Asked, AtOnce, Conclusions, Helper
from benchapp.procedures.ground.drive_request import DriveRequest
from benchapp.procedures.ground.moments import Moment, Seen
from benchapp.procedures.ground.plan import RunPlan
from benchapp.procedures.ground.progress import STOPPED_BY_RULE, PauseReason, Prompt, RunProgress, StopReason
from benchapp.procedures.ground.run_log import RunLog
from benchapp.records.events import SWITCH_ON, Event
from benchapp.records.method import SHORTEST_WINDOW_NS, WINDOW_FRAMES, answer_window_ns
from benchapp.records.run import Outcome
from benchapp.records.stream import Record

LAG_NS = 30_000_000
"""What is older than this has arrived: the probe flushes within 5 ms, a slow bridge holds back for 16 ms."""
"""The answer window: the longer of 0.5 s and 20 frames."""
PULSES_AFTER = 10
AFTER_LIMIT_NS = 2_000_000_000
"""A trial waits for ten pulses after its window, but no longer than this."""
ALONE_PAUSE_NS = 10_000_000_000
ALONE_IDLE_NS = 600_000_000_000
"""With nobody there: the longest pause, and the longest wait for a flip or for another switch-on."""


class SwitchFlip:
    """One switch-flip run: told the time, it never waits; its events do not hang on how the records are cut.

    see() takes what arrived and how late it is; ask() takes a person's wishes; both are answered by the events
    that see() and finish() return, to be written into the session.
    """

    def __init__(self, plan: RunPlan, draw: Callable[[], float], helper: Helper | None = None) -> None:
        """Plan a run from plan.start_ns on; draw gives random numbers in [0, 1) for phase-stepped flips.

        The plan must have a lead on the output, and one on a control. helper works the figure out; without one that is
        done at once. Where a stop rule needs a figure that is still being worked out, what comes after it waits its
        turn, so that a run ends at the same flip wherever its figure is made.
        """
        self._plan = plan
        self._state = State.WAITING_FOR_PULSES
        self._log = RunLog(plan)
        self._conclusions = Conclusions(plan, helper or AtOnce(), figure_of, before=FigureSoFar())
        self._stale_ns: int | None = None
        self._look_ns: int | None = None
        self._concluded_flips = 0
        self._timeline = Timeline(plan)
        self._target = TargetRule(plan.settings.target_ms)
        self._driven = DrivenFlips(draw) if plan.phase_stepped else None
        self._power = PowerCycle(plan.power) if plan.power else None
        self._flip_times_ns = array("q")  # a run may see tens of thousands
        self._open_flip_ns: int | None = None
        self._last_flip_ns: int | None = None
        self._quiet_since_ns = plan.start_ns
        self._now_ns = plan.start_ns
        self._ending = StopReason.ENOUGH_FLIPS

    @property
    def state(self) -> State:
        """The run's state, one of those in the table of `transitions`."""
        return self._state

    @property
    def ended(self) -> bool:
        """Whether the run is over."""
        return self._state is State.ENDED

    @property
    def waits_for_figure(self) -> bool:
        """Whether nothing more happens in the run before its figure has been worked out."""
        return self._look_ns is not None and not self._conclusions.up_to_date

    @property
    def _figure(self) -> FigureSoFar:
        return self._conclusions.found

    def see(self, records: Sequence[Record], now_ns: int) -> list[Event]:
        """Return the events that these records and the time brought.

        now_ns is the session's clock; every record stamped LAG_NS before it has been given by now.
        """
        self._now_ns = max(self._now_ns, now_ns)
        self._conclusions.add(records)
        for record in records:
            self._timeline.take(record)
            if self._power is not None:
                self._power.take(record)
        self._settle(self._now_ns - LAG_NS)
        self._refresh()
        return self._log.take()

    def ask(self, seen: Seen, now_ns: int) -> None:
        """Note a wish (HAND_PAUSE, SWITCH_ON, CARRY_ON, STOP) made at now_ns; it takes its turn among the records."""
        reason = StopReason.BY_HAND if seen is Seen.STOP else ""
        self._timeline.add(Moment(at_ns=now_ns, seen=seen, reason=reason))

    def drop(self, now_ns: int, flip_ns: int | None = None) -> list[Event]:
        """Return the event that leaves one flip out: the last one not yet left out, or the one at flip_ns."""
        if self._log.drop(now_ns, self._flip_times_ns, flip_ns):
            self._conclude(self._log.stop_ns or now_ns)
        return self._log.take()

    def undrop(self, now_ns: int, flip_ns: int | None = None) -> list[Event]:
        """Return the event that takes back the last drop, or that of the flip at flip_ns."""
        if self._log.undrop(now_ns, flip_ns):
            self._conclude(self._log.stop_ns or now_ns)
        return self._log.take()

    def finish(self, reason: StopReason, at_ns: int) -> list[Event]:
        """Return the events that end the run at once, everything seen so far kept."""
        self._settle(at_ns)
        while self._look_ns is not None:  # no rule is waited for any more
            self._look_ns = None
            self._settle(at_ns)
        self._apply(Moment(at_ns=max(at_ns, self._plan.start_ns), seen=Seen.BROKE, reason=reason))
        return self._log.take()

    def flip_request(self) -> DriveRequest | None:
        """Return the next flip the probe is to make, once; None when none is due to be asked for."""
        leading_ns = self._timeline.signal.leading_ns
        if self._driven is None or self._state is not State.AWAITING_FLIP or leading_ns is None:
            return None
        return self._driven.request(self._now_ns, leading_ns=leading_ns, period_ns=self._period_ns())

    def power_requests(self) -> Sequence[DriveRequest]:
        """Return what the probe is to do so that the transmitter goes off and on; nothing where none is due."""
        return () if self._power is None or self.ended else self._power.requests(self._now_ns)

    def progress(self) -> RunProgress:
        """Return the run as it stands."""
        settings, sofar = self._plan.settings, self._figure.sofar(len(self._flip_times_ns))
        left = flips_left(settings, sofar)
        last_ms, last_code = self._figure.answer(self._last_flip_ns)
        found = self._figure.latency
        return RunProgress(
            run=self._plan.run,
            test=self._plan.test,
            prompt=self._prompt(),
            flips=sofar.flips,
            answered=sofar.answered,
            wanted=settings.flips,
            target_ms=settings.target_ms,
            last_ms=last_ms,
            last_code=last_code,
            value_ms=found.headline.value_ms if found else None,
            half_width_ms=sofar.half_width_ms,
            stands_for=found.headline.stands_for if found else "",
            seen_switch_ons=found.switch_ons if found else 1,
            any_half_width_ms=found.any_switch_on.expanded_uncertainty_ms if found else None,
            out_of_reach=out_of_reach(settings, sofar),
            stands=not self.ended and self._conclusions.stands(self._now_ns),
            flips_left=left,
            switch_ons_left=switch_ons_left(settings, sofar, blocks=self._log.blocks),
            minutes_left=minutes_left(
                settings,
                left,
                start_ns=self._plan.start_ns,
                now_ns=self._now_ns,
                usual_spacing_ns=self._usual_spacing_ns(),
            ),
            dropped=len(self._log.drops_ns),
            paused=self._log.paused,
            blocks=self._log.blocks,
            switch_ons=settings.switch_ons or 1,
            stragglers=found.stragglers if found else None,
            outcome=self._log.outcome,
            stop_reason=self._log.stop_reason,
        )

    def _settle(self, horizon_ns: int) -> None:
        """Handle everything up to the horizon, in the order of its times."""
        settled_ns = self._timeline.settled_ns(horizon_ns)
        while not self.ended and self._looked() and (moment := self._timeline.next(settled_ns, self._timers())):
            self._handle(moment)

    def _timers(self) -> list[Moment]:
        """Return the moments that only time brings."""
        timers = []
        if self._open_flip_ns is not None:
            timers.append(Moment(at_ns=self._closing_ns(self._open_flip_ns), seen=Seen.TRIAL_CLOSED))
        seconds = self._plan.settings.seconds
        if seconds is not None and self._state is not State.LAST_ANSWER:
            timers.append(Moment(at_ns=self._plan.start_ns + round(seconds * 1e9), seen=Seen.TIME_OVER))
        if self._power is not None and self._power.carry_on_ns is not None:
            timers.append(Moment(at_ns=self._power.carry_on_ns, seen=Seen.CARRY_ON))
        if self._plan.alone:
            limit_ns, reason = self._patience()
            timers.append(Moment(at_ns=self._quiet_since_ns + limit_ns, seen=Seen.GIVE_UP, reason=reason))
        return timers

    def _patience(self) -> tuple[int, StopReason]:
        """Return how long a run that is alone waits as it stands, and why it ends then."""
        if self._log.paused == SWITCH_ON:
            return ALONE_IDLE_NS, StopReason.NOT_SWITCHED_ON
        if self._state in PAUSES or self._state is State.WAITING_FOR_PULSES:
            return ALONE_PAUSE_NS, StopReason.PAUSED_TOO_LONG
        return ALONE_IDLE_NS, StopReason.NO_FLIPS

    def _closing_ns(self, flip_ns: int) -> int:
        """Return when the trial of a flip closes as far as is known now, [ns]."""
        window_over = flip_ns + round(answer_window_ns(self._period_ns()))
        settled = self._timeline.signal.nth_pulse_after(window_over, PULSES_AFTER)
        limit = window_over + AFTER_LIMIT_NS
        return limit if settled is None else min(settled, limit)

    def _handle(self, moment: Moment) -> None:
        if moment.seen is Seen.FLIP:
            self._flip(moment.at_ns)
            return
        if moment.seen is Seen.TRIAL_CLOSED:
            self._close_trial(moment.at_ns)
            return
        if moment.seen is Seen.TIME_OVER:
            self._ending = StopReason.TIME_OVER
        self._apply(moment)
        self._carry_on_if_alone(moment)
        if self._state is State.REGAINING and self._timeline.signal.steady:
            self._apply(Moment(at_ns=moment.at_ns, seen=Seen.PULSES_STEADY))

    def _carry_on_if_alone(self, moment: Moment) -> None:
        alone = self._plan.alone and self._log.paused == PauseReason.BAD_SIGNAL
        if alone and self._state is State.PAUSED and moment.seen is Seen.PULSES_STEADY:
            self._apply(Moment(at_ns=moment.at_ns, seen=Seen.CARRY_ON))

    def _flip(self, at_ns: int) -> None:
        if self._open_flip_ns is not None:
            self._close_trial(at_ns - 1)
        wanted = self._plan.settings.flips
        last = wanted is not None and len(self._flip_times_ns) + 1 >= wanted
        if self._apply(Moment(at_ns=at_ns, seen=Seen.LAST_FLIP if last else Seen.FLIP)):
            self._flip_times_ns.append(at_ns)
            self._quiet_since_ns = at_ns
            if self._driven is not None:
                self._driven.flipped()
            if self._state is not State.WAITING_FOR_PULSES:
                self._open_flip_ns = at_ns

    def _close_trial(self, at_ns: int) -> None:
        self._last_flip_ns, self._open_flip_ns = self._open_flip_ns, None
        self._stale_ns = at_ns
        self._refresh()
        self._apply(Moment(at_ns=at_ns, seen=Seen.TRIAL_CLOSED))
        if self._state is not State.AWAITING_FLIP:
            return
        settings, flips = self._plan.settings, len(self._flip_times_ns)
        if switch_on_due(settings, flips=flips, blocks=self._log.blocks):
            self._apply(Moment(at_ns=at_ns, seen=Seen.SWITCH_ON))
        elif is_last(settings, self._log.blocks) and self._target.may_be_met(self._most_answered()):
            if self._stale_ns is not None:
                self._conclude(at_ns)
            self._look_ns = at_ns

    def _refresh(self) -> None:
        """Have the figure made that the newest closed trial changes, once there is time for it."""
        if self._stale_ns is not None and self._conclusions.due(self._now_ns):
            self._conclude(self._stale_ns)

    def _looked(self) -> bool:
        """Return whether the run goes on: it waits for the figure a stop rule looks at, and may end by it."""
        if self._look_ns is None:
            return True
        if not self._conclusions.up_to_date:
            return False
        at_ns, self._look_ns = self._look_ns, None
        if self._target.met(self._figure.sofar(len(self._flip_times_ns))):
            self._ending = StopReason.TARGET_MET
            self._apply(Moment(at_ns=at_ns, seen=Seen.ENOUGH))
        return not self.ended

    def _most_answered(self) -> int:
        """Return how many flips can have been answered by now, without having the figure made for it."""
        flips = len(self._flip_times_ns)
        if self._log.drops_ns or not self._conclusions.up_to_date:
            return flips  # a flip that is taken back counts again
        return self._figure.sofar(flips).answered + flips - self._concluded_flips

    def _apply(self, moment: Moment) -> bool:
        """Make the transition the table names for this moment; return whether it names one."""
        after = NEXT.get((self._state, moment.seen))
        if after is None:
            return False
        before, self._state = self._state, after
        if after is State.ENDED:
            self._end(StopReason(moment.reason) if moment.reason else self._ending, moment.at_ns)
        elif before in PAUSES and after not in PAUSES:
            self._log.resume(moment.at_ns)
            self._quiet_since_ns = moment.at_ns
            if self._power is not None:
                self._power.end()
        elif after in (State.PAUSED, State.SWITCHING_ON):
            self._pause(moment)
        return True

    def _pause(self, moment: Moment) -> None:
        if moment.seen is Seen.SWITCH_ON:
            reason = SWITCH_ON
            if self._power is not None:
                self._power.begin(moment.at_ns)
        else:
            reason = PauseReason.BAD_SIGNAL if moment.seen is Seen.PULSES_LOST else PauseReason.BY_HAND
        self._open_flip_ns = None
        self._quiet_since_ns = moment.at_ns
        self._log.pause(moment.at_ns, reason)

    def _end(self, reason: StopReason, at_ns: int) -> None:
        self._open_flip_ns = None
        outcome = Outcome.COMPLETE if reason in STOPPED_BY_RULE else Outcome.CUT_SHORT
        self._log.stop(at_ns, outcome, reason)
        self._conclude(at_ns)

    def _conclude(self, stop_ns: int) -> None:
        self._stale_ns = None
        self._concluded_flips = bisect_right(self._flip_times_ns, stop_ns)
        self._conclusions.ask(
            Asked(
                stop_ns=stop_ns,
                pauses=tuple(self._log.pauses(stop_ns)),
                drops_ns=tuple(self._log.drops_ns),
                outcome=Outcome(self._log.outcome or Outcome.CUT_SHORT),
                stopped_itself=self._log.stop_reason == StopReason.TARGET_MET,
            ),
            self._now_ns,
        )

    def _period_ns(self) -> float:
        return self._timeline.signal.period_ns or float(SHORTEST_WINDOW_NS / WINDOW_FRAMES)

    def _usual_spacing_ns(self) -> float | None:
        times = self._flip_times_ns
        return (times[-1] - times[0]) / (len(times) - 1) if len(times) > 1 else None

    def _prompt(self) -> Prompt:
        if self._state is State.AWAITING_FLIP and self._driven is not None:
            return Prompt.HANDS_OFF
        if self._state is State.AWAITING_FLIP and not self._flip_times_ns:
            return Prompt.FLIP_TO_START
        return _PROMPTS[self._state]


_PROMPTS = {
    State.WAITING_FOR_PULSES: Prompt.WAIT_FOR_PULSES,
    State.AWAITING_FLIP: Prompt.FLIP_NOW,
    State.AWAITING_ANSWER: Prompt.WAIT_FOR_ANSWER,
    State.LAST_ANSWER: Prompt.LAST_ANSWER,
    State.PAUSED: Prompt.CARRY_ON,
    State.SWITCHING_ON: Prompt.SWITCH_OFF_AND_ON,
    State.REGAINING: Prompt.WAIT_FOR_PULSES,
    State.ENDED: Prompt.DONE,
}
