"""A stick test as the run page shows it: the target, the next mark or the time still to be held."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from benchapp.presentation.ground.enough import so_many_of
from benchapp.presentation.ground.numbers import (
    DASH,
    NBSP,
    at_places,
    counted,
    exists,
    sentence_start,
    span,
    uncertainty_places,
    value_and_u,
    with_unit,
)
from benchapp.presentation.ground.run_words import PROMPTS, pause_sentence, stop_sentence
from benchapp.presentation.live.run_shown import RunState, RunView, short_prompt
from benchapp.presentation.sweep.stick_words import (
    PACES,
    THERE_AND_BACK,
    position_words,
    stick_count,
    stick_share,
    stop_now,
)
from benchapp.procedures.ground.progress import Pace, PauseReason, Prompt, RunProgress, StickProgress
from benchapp.records.method import FEWEST_CYCLES, FEWEST_HELD_PULSES

NO_STROKE_DROPPED = (
    "No single stroke can be left out of a sweep: it is kept whole. Pause if something went wrong, or stop and keep."
)
NO_HOLD_DROPPED = "There is nothing to drop while a stick is held: a touch is left out by itself."
_PACE_SENTENCES: Mapping[Pace, str] = {
    Pace.USUAL: "At an easy pace: about five seconds from end to end.",
    Pace.SLOWER: "More slowly this time: different speeds tell an output that is late from one that hangs back.",
    Pace.QUICKER: "A little quicker this time: different speeds tell an output that is late from one that hangs back.",
}
_BY_ITSELF = {
    PauseReason.TOUCHED: "The stick was touched. Let go: it goes on by itself once all is still.",
    PauseReason.NEXT_POSITION: "This position is done. Bring the stick to another and let go: it goes on by itself.",
}


@dataclass(frozen=True, kw_only=True, slots=True)
class StickChoice:
    """How a stick test was chosen to go.

    itself  : a stop is taken by itself; otherwise a person says when     percent : positions are told in % of travel
    by_lead : a lead is on the stick, so that its moves are seen
    bench   : the practice bench moves the stick
    from_middle : it begins with the stick in its middle, else at an end
    """

    itself: bool = False
    percent: bool = False
    by_lead: bool = True
    bench: bool = False
    from_middle: bool = False


class Drawn(StrEnum):
    """Which picture goes with a stick test."""

    SWEEP = "sweep"
    MARKS = "marks"
    HOLD = "hold"


@dataclass(frozen=True, kw_only=True, slots=True)
class StickShown:
    """What the picture of a stick test shows; None where it is not known.

    at_v, target_v : where the stick is and should be     low_v, high_v, scale_v : its range and its lead's scale
    next_deg, rising : the next mark, and the way to come to it     words : how it goes
    untouched : nothing may be touched now
    """

    drawn: Drawn
    over: bool
    untouched: bool
    at_v: float | None
    target_v: float | None
    low_v: float | None
    high_v: float | None
    scale_v: float | None
    next_deg: float | None
    rising: bool | None
    words: str


def stick_shown(run: RunProgress) -> StickShown | None:
    """Return what is drawn of a stick test, None for another."""
    stick = run.stick
    if stick is None:
        return None
    low, high, target_v = stick.low_v, stick.high_v, None
    if stick.target is not None and low is not None and high is not None:
        target_v = low + stick.target * (high - low)
    return StickShown(
        drawn=Drawn.HOLD if stick.held_s is not None else Drawn.SWEEP if stick.marks is None else Drawn.MARKS,
        over=bool(run.outcome),
        untouched=run.prompt is Prompt.TOUCH_NOTHING,
        at_v=stick.at_v,
        target_v=target_v,
        low_v=low,
        high_v=high,
        scale_v=stick.scale_v,
        next_deg=stick.next_deg,
        rising=stick.rising,
        words="" if stick.pace is None else PACES[stick.pace],
    )


def stick_view(run: RunProgress, stick: StickProgress, chosen: StickChoice) -> RunView:
    """Return what the page shows of a stick test."""
    ended = bool(run.outcome)
    state = RunState.ENDED if ended else RunState.PAUSED if run.paused else RunState.GOING
    by_stops, held = stick.marks is not None, stick.held_s is not None
    last, figure, spread = _values(stick, by_stops=by_stops, held=held, ended=ended)
    return RunView(
        state=state,
        prompt=_prompt(run, stick, chosen),
        sentence=_sentence(run, stick, chosen),
        act_now=not ended and _act_now(run, stick),
        count=sentence_start(stick_count(stick)),
        share=stick_share(stick),
        last=last,
        figure=figure,
        give_or_take=spread,
        left="" if ended else _left(run, stick),
        minutes="" if ended else _minutes(run),
        dropped=f"{counted(run.dropped, 'stop')} dropped by hand" if run.dropped else "",
        blocks="" if ended or not by_stops else _pass(stick),
        can_drop=stick.can_drop,
        can_undrop=stick.can_undrop,
        titles=_titles(by_stops=by_stops, held=held, ended=ended, stands=run.stands),
        how="" if state is not RunState.GOING else _how(run, stick),
        take=_take(run, stick, chosen) if state is RunState.GOING else "",
        drop="Drop last stop" if by_stops else "",
        no_drop="" if by_stops else NO_HOLD_DROPPED if held else NO_STROKE_DROPPED,
        by_itself=chosen.by_lead and run.paused in _BY_ITSELF,
    )


def _prompt(run: RunProgress, stick: StickProgress, chosen: StickChoice) -> str:
    if run.prompt is Prompt.SET_STOP and stop_now(stick):
        return _mark(stick, chosen)
    return short_prompt(run)


def _mark(stick: StickProgress, chosen: StickChoice) -> str:
    position = "" if stick.next_deg is None else position_words(stick.next_deg, percent=chosen.percent)
    return f"Mark {stick.mark}: {position}"


def _sentence(run: RunProgress, stick: StickProgress, chosen: StickChoice) -> str:
    if run.outcome:
        return _ended(run, stick)
    if run.paused:
        own = _BY_ITSELF.get(PauseReason(run.paused)) if chosen.by_lead and run.paused in _BY_ITSELF else None
        return own or f"{pause_sentence(run.paused)} Carry on, or stop and keep."
    if run.prompt in (Prompt.SWEEP, Prompt.REST):
        return _sweeping(run, stick)
    mark = _mark(stick, chosen)
    at_a_mark = {
        Prompt.TOUCH_NOTHING: "Touch nothing: neither the stick, nor the leads, nor the table.",
        Prompt.SET_STOP: _setting(stick, chosen),
        Prompt.KEEP_STILL: f"{mark}. It is taken once stick and pulses stand still.",
        Prompt.WENT_PAST: f"Go back a little, then come to m{mark[1:]} again, from the same side.",
    }
    return at_a_mark.get(run.prompt, f"{PROMPTS[run.prompt]}.")


def _ended(run: RunProgress, stick: StickProgress) -> str:
    how = "Complete." if run.outcome == "complete" else "Stopped early and kept."
    parts = (how, stop_sentence(run.stop_reason), f"{sentence_start(stick_count(stick))}.")
    return " ".join(part for part in parts if part)


def _setting(stick: StickProgress, chosen: StickChoice) -> str:
    way = "" if stick.rising is None else " coming up," if stick.rising else " coming down,"
    then = "It is taken by itself." if chosen.itself else "Then press Enter."
    return f"Set the stick to this mark,{way} and not past it. {then}"


def _sweeping(run: RunProgress, stick: StickProgress) -> str:
    pace = _PACE_SENTENCES.get(stick.pace_wanted, "") if stick.pace_wanted is not None else ""
    what = "Let it rest at the end." if run.prompt is Prompt.REST else "Move it to the other end, with the ring."
    return f"{what} {pace}".strip()


def _act_now(run: RunProgress, stick: StickProgress) -> bool:
    if run.prompt is Prompt.SWEEP:
        return bool(stick.still)
    return run.prompt in (Prompt.SET_STOP, Prompt.NEXT_POSITION, Prompt.LET_GO)


def _how(run: RunProgress, stick: StickProgress) -> str:
    if run.prompt is Prompt.SWEEP and stick.pace is not None:
        return PACES[stick.pace]
    if stick.marks is not None and run.prompt in (Prompt.SET_STOP, Prompt.KEEP_STILL, Prompt.WENT_PAST):
        if run.prompt is Prompt.KEEP_STILL:
            return "Settling"
        return "Stands still" if stick.still else "Moving"
    return ""


def _take(run: RunProgress, stick: StickProgress, chosen: StickChoice) -> str:
    if chosen.itself or stick.mark is None or run.prompt not in (Prompt.SET_STOP, Prompt.WENT_PAST):
        return ""
    return f"Take mark {stick.mark}"


def _pass(stick: StickProgress) -> str:
    if stick.cycles_wanted is None:
        return ""
    number = min(stick.cycles + 1, stick.cycles_wanted)
    way = "" if stick.rising is None else ", going up" if stick.rising else ", going down"
    return f"{THERE_AND_BACK.capitalize()} {number} of {stick.cycles_wanted}{way}"


def _titles(*, by_stops: bool, held: bool, ended: bool, stands: bool) -> tuple[str, str, str]:
    so_far = "" if ended else ", first half hour" if stands else " so far"
    if held:
        return f"Shortest to longest{so_far}", f"Unsteadiness{so_far}", "Still to go"
    return ("Last stop" if by_stops else f"From end to end{so_far}"), f"Straight to within{so_far}", "Still to go"


def _values(stick: StickProgress, *, by_stops: bool, held: bool, ended: bool) -> tuple[str, str, str]:
    """Return the last value, the figure, and what stands below it; of too few there is only the count in the end."""
    if held:
        if ended and stick.pulses is not None and stick.pulses < FEWEST_HELD_PULSES:
            return DASH, so_many_of(stick.pulses, FEWEST_HELD_PULSES), "servo pulses that a figure needs"
        spread = "" if stick.sd_us is None else "standard deviation of the pulse"
        if stick.told_from_probe is False:
            spread = "steadier than the probe can tell"
        return with_unit(stick.peak_us, 2, "µs"), with_unit(stick.sd_us, 2, "µs"), spread
    last = with_unit(stick.last_us, 1, "µs") if by_stops else span(stick.low_us, stick.high_us, 0, "µs")
    if ended and stick.cycles < FEWEST_CYCLES:
        return last, so_many_of(stick.cycles, FEWEST_CYCLES), "there-and-backs that a figure needs"
    if exists(stick.linearity_pct) and exists(stick.linearity_u_pct) and stick.linearity_pct <= stick.linearity_u_pct:
        most = stick.linearity_pct + stick.linearity_u_pct
        return last, f"{at_places(most, uncertainty_places(most))}{NBSP}%", "of the travel, at most"
    straight, give = value_and_u(stick.linearity_pct, stick.linearity_u_pct)
    if straight == DASH:
        return last, DASH, "told after one there-and-back"
    within = "of the travel" if give == DASH else f"of the travel, give or take {give}{NBSP}%"
    return last, f"{straight}{NBSP}%", within


def _left(run: RunProgress, stick: StickProgress) -> str:
    if stick.held_s is not None:
        if run.minutes_left is None:
            return "until you stop"
        return with_unit(run.minutes_left * 60, 0, "s")
    if stick.stops_wanted is not None:
        return counted(max(stick.stops_wanted - stick.stops, 0), "stop")
    if stick.cycles_wanted is not None:
        return f"{max(stick.cycles_wanted - stick.cycles, 0)} more"
    return "until you stop"


def _minutes(run: RunProgress) -> str:
    if run.minutes_left is None:
        return ""
    if run.minutes_left < 1:
        return "under a minute"
    return f"about {at_places(run.minutes_left, 0)}{NBSP}min"
