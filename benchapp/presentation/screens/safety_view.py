"""*Make it safe* as its page shows it: each line with its signal word, and whether it still is to be confirmed."""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass

from benchapp.presentation.ground.numbers import counted
from benchapp.presentation.ground.page import Signal
from benchapp.presentation.ground.run_words import REFUSALS
from benchapp.presentation.ground.safety import SAFETY
from benchapp.procedures.gate import PROPELLER_LINES, Refusal, SafetyLine, Why, offered_lines
from benchapp.records.run import Origin


@dataclass(frozen=True, kw_only=True, slots=True)
class SafetyRow:
    """One line of the checklist: key, words, and whether it is confirmed. why says what is wrong with it, else ""."""

    line: str
    signal: Signal | None
    text: str
    confirmed: bool
    why: str


def safety_rows(origin: Origin, *, confirmed: Collection[str], refusals: Mapping[str, str]) -> tuple[SafetyRow, ...]:
    """Return the lines to show, in order; those about propellers are folded away where nothing drives a motor.

    confirmed : lines a person has confirmed here
    refusals  : lines that stand in the way of a run, with the key of the reason
    """
    alone = SafetyLine.RECEIVER_ONLY in confirmed and SafetyLine.RECEIVER_ONLY not in refusals
    rows = []
    for line in offered_lines(origin):
        if alone and line in PROPELLER_LINES:
            continue
        holds = line in confirmed and line not in refusals
        rows.append(
            SafetyRow(
                line=line.value,
                signal=SAFETY[line].signal,
                text=SAFETY[line].text,
                confirmed=holds,
                why="" if holds else _why(line, confirmed, refusals),
            )
        )
    return tuple(rows)


def _why(line: SafetyLine, confirmed: Collection[str], refusals: Mapping[str, str]) -> str:
    if line not in confirmed or line not in refusals:
        return ""
    return f"Asked again: {REFUSALS[Why(refusals[line])]}."


def lines_asked_again(refusals: Iterable[Refusal]) -> int:
    """Return how many lines are to be confirmed again because the model was powered up."""
    return sum(refusal.why is Why.POWERED_UP for refusal in refusals)


def safety_left(refusals: Mapping[str, str]) -> str:
    """Return how many lines are still to be confirmed, "" for none."""
    if not refusals:
        return ""
    return f"{counted(len(refusals), 'line')} of Make it safe still to confirm."
