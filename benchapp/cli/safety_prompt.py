"""Asks every line of *Make it safe* at a terminal, or prints them where --yes-safe answers."""

import sys
from collections.abc import Callable
from dataclasses import dataclass

from benchapp.cli.printing import one_line
from benchapp.presentation.ground.on_bench import ANSWERS, QUESTION
from benchapp.presentation.ground.safety import (
    BY_YES_SAFE,
    MANUALS_WIN,
    PRACTICE_TOLD,
    SAFETY,
    YES_SAFE_BENCH_TOLD,
    YES_SAFE_TOLD,
)
from benchapp.procedures.gate import OnBench, SafetyLine, advice_lines, needed_lines
from benchapp.records.errors import SafetyRefused
from benchapp.records.run import Origin

EVERY_LINE = OnBench.COMBUSTION
"""What is taken to be on the bench where nobody says: of all benches this one asks for every line."""
_YES = frozenset(("y", "yes"))
_NO = frozenset(("n", "no"))
_NOT_TO_ITS_END = "The safety list was not answered to its end. No run was started."


@dataclass(frozen=True, kw_only=True, slots=True)
class Answered:
    """What is on the bench (None: the practice bench), whether anybody said so, and the lines that were confirmed."""

    on_bench: OnBench | None
    bench_said: bool
    lines: tuple[str, ...]


def confirmed_lines(
    origin: Origin,
    *,
    yes_safe: bool,
    on_bench: OnBench | None = None,
    note: Callable[[str], None] = lambda line: None,
) -> Answered:
    """Return what is on the bench and the safety lines that were confirmed: by --yes-safe, else asked one by one.

    on_bench is what the call says; where it says nothing, a person at the terminal is asked, and --yes-safe answers
    every line there is: that no motor is connected is for a person to say. note is told of each answer at the moment a
    person gives it. Raises SafetyRefused for a line that was not confirmed, and where there is no terminal to ask at.
    """
    if yes_safe:
        found = None if origin is Origin.PRACTICE else on_bench or EVERY_LINE
        lines = tuple(line.value for line in needed_lines(origin, found))
        return Answered(on_bench=found, bench_said=on_bench is not None, lines=lines)
    if not sys.stdin.isatty():
        raise SafetyRefused(
            "Each line of the safety list must be answered before a run, and there is no terminal to ask at. At a "
            "terminal each line is asked; --yes-safe prints the list and answers all of it."
        )
    print(MANUALS_WIN, file=sys.stderr)
    found = None
    if origin is not Origin.PRACTICE:
        found = on_bench or _asked_on_bench()
        note(SafetyLine.ON_BENCH.value)
    for line in advice_lines(origin, found):
        print(_words(line), file=sys.stderr)
    for line in needed_lines(origin, found):
        if not _answer(line):
            raise SafetyRefused(f"Not confirmed: {SAFETY[line].act} No run was started.")
        note(line.value)
    return Answered(on_bench=found, bench_said=True, lines=tuple(line.value for line in needed_lines(origin, found)))


def safety_answer(*, yes_safe: bool) -> str:
    """Return what the session keeps beside each confirmed line: a person's yes, or that --yes-safe gave it."""
    return BY_YES_SAFE if yes_safe else "yes"


def yes_safe_lines(origin: Origin, answered: Answered) -> tuple[str, ...]:
    """Return the list that --yes-safe answers, with its signal words, and that it was answered so."""
    shown = (*needed_lines(origin, answered.on_bench), *advice_lines(origin, answered.on_bench))
    lines = tuple(_words(line) for line in shown)
    if origin is Origin.PRACTICE:
        return (*lines, PRACTICE_TOLD)
    return (*lines, MANUALS_WIN, YES_SAFE_BENCH_TOLD if answered.bench_said else YES_SAFE_TOLD)


def _words(line: SafetyLine) -> str:
    words = SAFETY[line]
    signal = f"{words.signal.upper()}: " if words.signal else ""
    return one_line(f"{signal}{words.text}")


def _asked_on_bench() -> OnBench:
    """Return what a person says is on the bench: the number of an answer."""
    for number, words in enumerate(ANSWERS.values(), start=1):
        print(f"{number}  {words}", file=sys.stderr)
    by_number = {str(number): answer for number, answer in enumerate(ANSWERS, start=1)}
    while True:
        typed = _typed(f"{QUESTION} [1-{len(by_number)}] ")
        if typed in by_number:
            return by_number[typed]
        if typed in _NO:
            raise SafetyRefused("What is on the bench was not said. No run was started.")


def _answer(line: SafetyLine) -> bool:
    while True:
        word = _typed(f"{_words(line)} {SAFETY[line].act} [yes/no] ")
        if word in _YES | _NO:
            return word in _YES


def _typed(prompt: str) -> str:
    """Return what is typed at a prompt, in small letters. Raises SafetyRefused where nothing more can come."""
    print(prompt, end="", file=sys.stderr, flush=True)
    typed = sys.stdin.readline()
    if not typed:
        raise SafetyRefused(_NOT_TO_ITS_END)
    return typed.strip().lower()
