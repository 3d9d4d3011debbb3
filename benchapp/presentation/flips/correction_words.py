"""What the card of a test says of a delay that is known to lie outside the set and is taken off every flip's."""

from dataclasses import dataclass

from benchapp.presentation.ground.numbers import NBSP, at_places, exists, plainly
from benchapp.records.run_settings import MOST_CORRECTION_MS

FURTHER, FEWER = "Further options", "Fewer options"
TAKE_OFF = "Take off"
WHAT_FOR = (
    "A delay known to lie outside the set, such as your instrument's own. It is taken off every flip's delay, and how "
    "well it is known goes into the give or take. Nothing typed: nothing is changed."
)
_DIGITS = 6


@dataclass(frozen=True, kw_only=True, slots=True)
class TypedCorrection:
    """What was typed: `correction_ms` is added to every latency, right to within `within_ms`; None for nothing.

    sentence says what is done, problem why no run can start with it; each "" where there is none
    """

    correction_ms: float | None = None
    within_ms: float | None = None
    sentence: str = ""
    problem: str = ""


def typed_correction(take_off: str, within: str) -> TypedCorrection:
    """Return what the two fields ask for: nothing where both are empty, a problem where they make no sense."""
    if not take_off.strip() and not within.strip():
        return TypedCorrection()
    off_ms, within_ms = _number(take_off), _number(within)
    if off_ms is None or within_ms is None:
        return TypedCorrection(
            problem="To take a delay off, type both: how many ms, and to within how many it is known."
        )
    if abs(off_ms) > MOST_CORRECTION_MS or not 0.0 <= within_ms <= MOST_CORRECTION_MS:
        most = f"{at_places(MOST_CORRECTION_MS, 0)}{NBSP}ms"
        return TypedCorrection(problem=f"At most {most} can be taken off, known to within 0 to {most}.")
    known = f"known to within ± {plainly(within_ms, _DIGITS, 'ms')}"
    way = "taken off" if off_ms >= 0 else "added to"
    sentence = f"{plainly(abs(off_ms), _DIGITS, 'ms')} will be {way} every flip's delay, {known}."
    return TypedCorrection(correction_ms=0.0 - off_ms, within_ms=within_ms, sentence=sentence)


def _number(text: str) -> float | None:
    try:
        value = float(text.strip().replace(",", "."))
    except ValueError:
        return None
    return value if exists(value) else None
