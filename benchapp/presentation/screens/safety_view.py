"""*Make it safe* as its page shows it: the question, the lines with the act each asks for, and the advice."""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass

from benchapp.presentation.ground.numbers import counted
from benchapp.presentation.ground.on_bench import ANSWER_FIRST
from benchapp.presentation.ground.page import Signal
from benchapp.presentation.ground.run_words import REFUSALS
from benchapp.presentation.ground.safety import SAFETY, SafetyWords
from benchapp.procedures.gate import GRAVE_LINES, OnBench, Refusal, SafetyLine, Why, advice_lines, needed_lines
from benchapp.records.run import Origin

ADVICE_TITLE = "Holds here as well"
ALL_CONFIRMED = "Every line is confirmed."


@dataclass(frozen=True, kw_only=True, slots=True)
class SafetyRow:
    """One line of the checklist: key, signal word, the act it asks for, what there is to know, whether it is confirmed.

    grave: it can maim, so it is shown large.
    """

    line: str
    signal: Signal | None
    act: str
    note: str
    grave: bool
    confirmed: bool


def safety_rows(
    origin: Origin, on_bench: OnBench | None, *, confirmed: Collection[str], refusals: Mapping[str, str]
) -> tuple[SafetyRow, ...]:
    """Return the lines that apply to this bench, the few that can maim first; none before the question is answered.

    confirmed : lines a person has confirmed here
    refusals  : lines that stand in the way of a run, with the key of the reason
    """
    return tuple(
        SafetyRow(
            line=line.value,
            signal=SAFETY[line].signal,
            act=SAFETY[line].act,
            note=SAFETY[line].note,
            grave=line in GRAVE_LINES,
            confirmed=line in confirmed and line not in refusals,
        )
        for line in needed_lines(origin, on_bench)
    )


def safety_advice(origin: Origin, on_bench: OnBench | None) -> tuple[SafetyWords, ...]:
    """Return what else holds on this bench, to be read and not confirmed, the gravest first."""
    return tuple(SAFETY[line] for line in advice_lines(origin, on_bench))


def asked_again(confirmed: Collection[str], refusals: Mapping[str, str]) -> str:
    """Return why lines that were confirmed here are asked again; "" where none is."""
    whys = [why for line, why in refusals.items() if line in confirmed and why != Why.NOT_CONFIRMED]
    return f"Asked again: {REFUSALS[Why(whys[0])]}." if whys else ""


def lines_asked_again(refusals: Iterable[Refusal]) -> int:
    """Return how many lines are to be confirmed again because the model was powered up."""
    return sum(refusal.why is Why.POWERED_UP for refusal in refusals)


def safety_left(refusals: Mapping[str, str]) -> str:
    """Return how many lines are still to be confirmed, or that the question comes first; "" for none."""
    if SafetyLine.ON_BENCH in refusals:
        return ANSWER_FIRST
    if not refusals:
        return ""
    return f"{counted(len(refusals), 'line')} of Make it safe still to confirm."
