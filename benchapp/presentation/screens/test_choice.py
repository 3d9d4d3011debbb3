"""What the options of the switch-flip test say, what is proposed for it, and why no run can start."""

from collections.abc import Mapping

from benchapp.presentation.ground.numbers import NBSP, at_places, counted
from benchapp.presentation.screens.safety_view import safety_left
from benchapp.procedures.asked_settings import MOST_SWITCH_ONS
from benchapp.procedures.flips.stop_rules import proposed_target_ms

PLANS = ((1, 60), (5, 12), (10, 6))
"""What is offered: so many switch-ons, so many flips in each. Sixty flips in one are about one set as it stands; ten
times six about what the set does, whatever it is after the next switch-on, and they are what comparing takes."""
MOST_TYPED = MOST_SWITCH_ONS
"""The most switch-ons that can be typed."""
_MANY = 8
"""From so many switch-ons on, nothing is assumed of how the set settles at each (as in the reduction)."""
_NOT_THERE: Mapping[str, str] = {
    "looking": "The probe is still being looked for.",
    "lost": "The probe is lost. Plug it in again first.",
    "in-use": "Another program holds the port. Close it first.",
    "not-allowed": "You may not open this port.",
    "not-our-probe": "What answers on this port is not our probe.",
    "no-program": "Nothing answers on this port: there is no probe program on the board yet.",
    "old-program": "The probe has an old program. Put this version's on it first.",
    "other-probe": "Another probe answers than the one that was lost. Plug that one in again.",
    "closed": "No bench is open.",
}


def start_refusal(link: str, refusals: Mapping[str, str]) -> str:
    """Return why no run can start: the state of the probe, else the safety lines left; "" where one can."""
    return _NOT_THERE.get(link) or safety_left(refusals)


def plan_words(switch_ons: int, each: int) -> str:
    """Return the words of one plan, short enough for a button."""
    return f"{switch_ons} × {each}"


def plan_name(switch_ons: int, each: int) -> str:
    """Return one plan in whole words."""
    return f"{counted(switch_ons, 'switch-on')} of {counted(each, 'flip')}"


def proposed_text(frame_ms: float | None) -> str:
    """Return the give or take to propose as it is typed, "" where none can be."""
    target = proposed_target_ms(frame_ms)
    return "" if target is None else at_places(target, 2)


def proposed_target(frame_ms: float | None) -> str:
    """Return the words that propose a give or take for a set with this frame."""
    target = proposed_target_ms(frame_ms)
    if target is None:
        return "A twentieth of the frame is proposed once servo pulses are there."
    shown = at_places(target, 2)
    return f"Proposed for this frame: {shown}{NBSP}ms. It stops from 30 flips on, once it is sure enough twice running."


def plan_sentence(switch_ons: int, flips: int) -> str:
    """Return what it means to spread so many flips over so many switch-ons."""
    if switch_ons == 1:
        return "One set as it stands: the radio stays on. After the next switch-on the figure may be another."
    least, most = flips // switch_ons, -(-flips // switch_ons)
    each = counted(most, "flip") if least == most else f"{least} or {counted(most, 'flip')}"
    what = "What the set does, and for comparing" if switch_ons >= _MANY else "On the way to what the set does"
    return f"{what}: after {each} the run waits while the radio is switched off and on; you are told when."


def plan_of(switch_ons: int, flips: int) -> int:
    """Return which of the plans this is, -1 for none of them."""
    return next((n for n, (ons, each) in enumerate(PLANS) if (ons, ons * each) == (switch_ons, flips)), -1)


def plan_problem(switch_ons: int, flips: int) -> str:
    """Return why so many flips cannot be spread over so many switch-ons, "" where they can."""
    return "" if flips >= switch_ons else f"Each switch-on has at least one flip: ask for {switch_ons} flips or more."


BENCH_FLIPS = "Practice: the bench flips the switch by itself. You only watch."


def who_sentence(*, driven: bool) -> str:
    """Return what it means who flips."""
    if driven:
        return "Hands off: each flip falls at another place of the frame, evenly spread, so that fewer are needed."
    return "Your own pace, and not in a beat: flips that keep step with the radio say less."
