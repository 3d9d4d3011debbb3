"""What the practice bench's hand is told while a run goes on, so that its stick does what the run asks for.

The run's prompts tell it, so it stays in step after a pause or a stop left out. A person may drag the stick instead.
"""

from dataclasses import dataclass
from enum import StrEnum

from benchapp.procedures.asked_settings import PRESET_TRAVEL_DEG
from benchapp.procedures.ground.progress import PauseReason, Prompt, RunProgress, StickProgress
from benchapp.procedures.sweep.guide import SPEEDS, USUAL_STROKE_S

PLACES = 240
"""The highest place the stick can be taken to; 0 is the low end. 240 parts, so that every mark of 5, 9, 11 and 21
stops is one of them."""
STROKE_S = USUAL_STROKE_S
SLOWEST, QUICKEST = min(SPEEDS), max(SPEEDS)
"""The usual stroke of a sweep [s], and how many times as fast as usual the slowest and the quickest are."""
_BROKEN_OFF = frozenset({PauseReason.BAD_SIGNAL, PauseReason.BY_HAND})


class Hand(StrEnum):
    """What the bench's own hand does with the stick: nothing, or sweep it from end to end."""

    LEAVE = "leave"
    SWEEP = "sweep"


@dataclass(frozen=True, kw_only=True, slots=True)
class TakeTo:
    """Take the stick to a place, 0 to PLACES, and leave it there."""

    place: int


HandOrder = Hand | TakeTo
_HAND_LEVELS = {Hand.LEAVE: 0, Hand.SWEEP: 1}


def lead_and_level(order: HandOrder) -> tuple[str, int]:
    """Return the label of the practice bench's driven lead that takes an order, and the level that says it."""
    return ("stick place", order.place) if isinstance(order, TakeTo) else ("stick hand", _HAND_LEVELS[order])


def practice_url(radio: str) -> str:
    """Return the URL of a practice bench on which nothing moves by itself.

    Its hand, once it is told to sweep, goes at the speeds that a sweep asks for.
    """
    speeds = ",".join(f"{speed:g}" for speed in SPEEDS)
    return f"practice://{radio}?motion=none&stroke_s={STROKE_S:g}&speeds={speeds}&pace=real"


def place_of(position_deg: float) -> int:
    """Return the place of a position; one beyond the stick's travel is its end."""
    share = (position_deg / PRESET_TRAVEL_DEG + 1.0) / 2.0
    return min(max(round(share * PLACES), 0), PLACES)


def before_flips(switch_level: int) -> TakeTo:
    """Return what makes the output stand where the switch has it: a stick left elsewhere would cost the first flip."""
    return TakeTo(place=PLACES if switch_level else 0)


class HandOrders:
    """Follows one run and gives each order once."""

    def __init__(self) -> None:
        self._last: object = None

    def next(self, run: RunProgress) -> HandOrder | None:
        """Return what the hand is to do now; None while it goes on with what it does."""
        if run.stick is None:
            return None
        why, order = _wanted(run, run.stick)
        if order is None or why == self._last:
            return None
        self._last = why
        return order


def _wanted(run: RunProgress, stick: StickProgress) -> tuple[object, HandOrder | None]:
    """Return an order with what it is for: the same purpose is never ordered twice running."""
    if run.outcome or run.paused in _BROKEN_OFF:
        return "leave", Hand.LEAVE
    if stick.marks is not None:
        return _to_a_mark(run, stick)
    if stick.held_s is not None:
        return _to_a_position(run, stick)
    if run.prompt in (Prompt.WAIT_FOR_PULSES, Prompt.GO_TO_AN_END):
        return "an end", TakeTo(place=0)
    return "sweep", Hand.SWEEP if run.prompt is Prompt.SWEEP else None


def _to_a_mark(run: RunProgress, stick: StickProgress) -> tuple[object, HandOrder | None]:
    if stick.next_deg is None or run.prompt not in (Prompt.SET_STOP, Prompt.WENT_PAST):
        return None, None
    return ("mark", stick.stops, run.dropped), TakeTo(place=place_of(stick.next_deg))


def _to_a_position(run: RunProgress, stick: StickProgress) -> tuple[object, HandOrder | None]:
    """Return the way to a hold's position: the middle for one, else even ones from end to end."""
    if stick.position is None or run.prompt not in (Prompt.WAIT_FOR_PULSES, Prompt.NEXT_POSITION):
        return None, None
    positions = stick.positions or 1
    share = 0.5 if positions == 1 else (stick.position - 1) / (positions - 1)
    return ("position", stick.position), TakeTo(place=round(share * PLACES))
