"""What a switch-flip test makes of what happens in its run: trials, shares of the switch-ons, and its stop rules."""

from array import array
from bisect import bisect_right
from collections.abc import Callable, Sequence
from enum import StrEnum

from benchapp.procedures.flips.driven_flips import DrivenFlips
from benchapp.procedures.flips.figure_so_far import FigureSoFar, figure_of
from benchapp.procedures.flips.power_cycle import PowerCycle
from benchapp.procedures.flips.stop_rules import TargetRule
from benchapp.procedures.flips.switch_on_plan import is_last, switch_on_due
from benchapp.procedures.flips.table import TABLE, FlipState
from benchapp.procedures.flips.tell import tell_flips
from benchapp.procedures.ground.conclusions import FigureRequest, Helper, RunFigures
from benchapp.procedures.ground.drive_request import DriveRequest
from benchapp.procedures.ground.moments import Moment, Seen
from benchapp.procedures.ground.open_run import OpenRun
from benchapp.procedures.ground.progress import Prompt, RunProgress, StopReason
from benchapp.procedures.ground.table import State
from benchapp.procedures.ground.timers import give_up, time_over
from benchapp.records.events import SWITCH_ON
from benchapp.records.method import SHORTEST_WINDOW_NS, WINDOW_FRAMES, answer_window_ns
from benchapp.records.run import Outcome

PULSES_AFTER = 10
AFTER_LIMIT_NS = 2_000_000_000
"""A trial waits for ten pulses after its window, but no longer than this."""
ALONE_PAUSE_NS = 10_000_000_000
ALONE_IDLE_NS = 600_000_000_000
"""With nobody there: the longest pause, and the longest wait for a flip or for another switch-on."""


class FlipCourse:
    """The flips of one run. Its plan must have a lead on the output, and one on a control.

    driven : the flips that the probe makes itself, power : the switch-ons it makes itself; None where a person does
    """

    def __init__(self, run: OpenRun, draw: Callable[[], float], helper: Helper | None = None) -> None:
        """Begin; draw gives random numbers in [0, 1) for flips the probe makes. helper works the figure out."""
        plan, flipper = run.plan, run.plan.flipper
        self._run = run
        self.figures = RunFigures(run, helper, figure_of, self._asked, before=FigureSoFar())
        self.driven = DrivenFlips(flipper.index, draw) if plan.phase_stepped and flipper is not None else None
        self.power = PowerCycle(plan.power) if plan.power else None
        self._target = TargetRule(plan.settings.target_ms)
        self._flip_times_ns = array("q")  # a run may see tens of thousands
        self._open_flip_ns: int | None = None
        self._last_flip_ns: int | None = None
        self._concluded_flips = 0

    def means(self, moment: Moment) -> Sequence[Moment]:
        """Return what a moment means: a flip closes the trial before it, and may be the last one wanted."""
        if moment.seen is Seen.TRIAL_CLOSED:
            return [self._close_trial(moment.at_ns)]
        if moment.seen is not Seen.FLIP:
            return [moment]
        wanted = self._run.plan.settings.flips
        last = wanted is not None and len(self._flip_times_ns) + 1 >= wanted
        flip = Moment(at_ns=moment.at_ns, seen=Seen.LAST_FLIP if last else Seen.FLIP)
        return [flip] if self._open_flip_ns is None else [self._close_trial(moment.at_ns - 1), flip]

    def entered(self, moment: Moment, before: StrEnum) -> Sequence[Moment]:
        """Count the flips, and say after each trial whether a switch-on is due; the target looks at the figure."""
        if moment.seen in (Seen.FLIP, Seen.LAST_FLIP):
            self._note_flip(moment.at_ns)
        elif moment.seen is Seen.TRIAL_CLOSED:
            return self._after_trial(moment.at_ns)
        elif TABLE.is_pause(self._run.state):
            if self._run.state is not State.REGAINING:
                self._open_flip_ns = None
            if self.power is not None and self._run.state is FlipState.SWITCHING_ON:
                self.power.begin(moment.at_ns)
        elif self.power is not None and TABLE.is_pause(before):
            self.power.end()
        return []

    def timers(self) -> list[Moment]:
        """Return the moments that only time brings."""
        run = self._run
        timers = []
        if self._open_flip_ns is not None:
            timers.append(Moment(at_ns=self._closing_ns(self._open_flip_ns), seen=Seen.TRIAL_CLOSED))
        if run.state is not FlipState.LAST_ANSWER:
            timers += time_over(run)
        on_ns = self.power.carry_on_ns if self.power is not None else None
        if on_ns is not None and run.state is FlipState.SWITCHING_ON:
            timers.append(Moment(at_ns=on_ns, seen=Seen.CARRY_ON))
        return timers + give_up(run, *self._patience())

    def tell(self, progress: RunProgress) -> RunProgress:
        """Return the progress with the flips, the figure and what is left of the run."""
        return tell_flips(
            progress,
            self._run,
            self.figures.found,
            flips_ns=self._flip_times_ns,
            last_flip_ns=self._last_flip_ns,
            prompt=self._prompt(progress.prompt),
        )

    def drop(self, now_ns: int, at_ns: int | None) -> None:
        """Leave one flip out: the last one not yet left out, or the one at at_ns."""
        if self._run.log.drop(now_ns, self._flip_times_ns, at_ns):
            self.figures.make(self._run.log.stop_ns or now_ns)

    def undrop(self, now_ns: int, at_ns: int | None) -> None:
        """Take back the last drop, or that of the flip at at_ns."""
        if self._run.log.undrop(now_ns, at_ns):
            self.figures.make(self._run.log.stop_ns or now_ns)

    def flip_requests(self) -> Sequence[DriveRequest]:
        """Return the next flip the probe is to make, once; nothing when none is due to be asked for."""
        run, leading_ns = self._run, self._run.signal.leading_ns
        if self.driven is None or run.state is not FlipState.AWAITING_FLIP or leading_ns is None:
            return ()
        request = self.driven.request(run.now_ns, leading_ns=leading_ns, period_ns=self._period_ns())
        return () if request is None else (request,)

    def power_requests(self) -> Sequence[DriveRequest]:
        """Return what the probe is to do so that the transmitter goes off and on; nothing where none is due."""
        return () if self.power is None else self.power.requests(self._run.now_ns)

    def _note_flip(self, at_ns: int) -> None:
        self._flip_times_ns.append(at_ns)
        self._run.quiet_since_ns = at_ns
        if self.driven is not None:
            self.driven.flipped()
        if self._run.state is not State.WAITING_FOR_PULSES:
            self._open_flip_ns = at_ns

    def _close_trial(self, at_ns: int) -> Moment:
        self._last_flip_ns, self._open_flip_ns = self._open_flip_ns, None
        self.figures.want(at_ns)
        return Moment(at_ns=at_ns, seen=Seen.TRIAL_CLOSED)

    def _after_trial(self, at_ns: int) -> Sequence[Moment]:
        """Return what follows from the number of flips; where the target may be met, it looks at their figure."""
        settings, blocks = self._run.plan.settings, self._run.log.blocks
        if switch_on_due(settings, flips=len(self._flip_times_ns), blocks=blocks):
            return [Moment(at_ns=at_ns, seen=Seen.SWITCH_ON)]
        if is_last(settings, blocks) and self._target.may_be_met(self._most_answered()):
            if self.figures.stale:
                self.figures.make(at_ns)
            self.figures.rule = lambda: self._look(at_ns)
        return []

    def _look(self, at_ns: int) -> Sequence[Moment]:
        """Return that there is enough, if the figure that was worked out meets the target."""
        if not self._target.met(self.figures.found.so_far(len(self._flip_times_ns))):
            return []
        return [Moment(at_ns=at_ns, seen=Seen.ENOUGH, reason=StopReason.TARGET_MET)]

    def _most_answered(self) -> int:
        """Return how many flips can have been answered by now, without having the figure made for it."""
        flips = len(self._flip_times_ns)
        if self._run.log.drops_ns or not self.figures.up_to_date:
            return flips  # a flip that is taken back counts again
        return self.figures.found.so_far(flips).answered + flips - self._concluded_flips

    def _asked(self, stop_ns: int) -> FigureRequest:
        """Return what is to be concluded, and note of how many flips that will be."""
        self._concluded_flips = bisect_right(self._flip_times_ns, stop_ns)
        log = self._run.log
        return FigureRequest(
            stop_ns=stop_ns,
            pauses=tuple(log.pauses(stop_ns)),
            drops_ns=tuple(log.drops_ns),
            outcome=Outcome(log.outcome or Outcome.CUT_SHORT),
            stopped_itself=log.stop_reason == StopReason.TARGET_MET,
        )

    def _closing_ns(self, flip_ns: int) -> int:
        """Return when the trial of a flip closes as far as is known now [ns]."""
        window_over = flip_ns + round(answer_window_ns(self._period_ns()))
        settled = self._run.signal.nth_pulse_after(window_over, PULSES_AFTER)
        limit = window_over + AFTER_LIMIT_NS
        return limit if settled is None else min(settled, limit)

    def _patience(self) -> tuple[int, StopReason]:
        """Return how long a run that is alone waits as it stands [ns], and why it ends then."""
        state = self._run.state
        if self._run.log.paused == SWITCH_ON:
            return ALONE_IDLE_NS, StopReason.NOT_SWITCHED_ON
        if TABLE.is_pause(state) or state is State.WAITING_FOR_PULSES:
            return ALONE_PAUSE_NS, StopReason.PAUSED_TOO_LONG
        return ALONE_IDLE_NS, StopReason.NO_FLIPS

    def _period_ns(self) -> float:
        return self._run.signal.period_ns or float(SHORTEST_WINDOW_NS / WINDOW_FRAMES)

    def _prompt(self, usual: Prompt) -> Prompt:
        if self._run.state is FlipState.AWAITING_FLIP and self.driven is not None:
            return Prompt.HANDS_OFF
        if self._run.state is FlipState.AWAITING_FLIP and not self._flip_times_ns:
            return Prompt.FLIP_TO_START
        return usual
