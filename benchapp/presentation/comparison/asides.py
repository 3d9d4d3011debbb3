"""What a comparison assumed, in sentences: which switch-ons are distinct, and what was left out."""

from collections.abc import Iterator, Sequence

from benchapp.presentation.comparison.side_words import listed
from benchapp.presentation.ground.cleaning import clean
from benchapp.records.comparison import ANSWERED_NO, ANSWERED_YES, APART_IN_TIME, NOT_KNOWN, SAID, Between, Comparison

BETWEEN = {
    SAID: "{after} says that the set was switched off and on before it: another switch-on than {before}.",
    APART_IN_TIME: "{before} and {after} began more than 12 hours apart: different switch-ons.",
    ANSWERED_YES: "The set was switched off and on between {before} and {after}, as you said.",
    ANSWERED_NO: "The set stayed on between {before} and {after}, as you said: the end of the one and the beginning of "
    "the other count as one switch-on.",
    NOT_KNOWN: "Nobody said whether the set was switched off and on between {before} and {after}: the end of the one "
    "and the beginning of the other count as one switch-on.",
}
"""How it is known whether a set was switched off and on between two of its sessions."""


def asides(comparison: Comparison, between: Sequence[Between], files: Sequence[str]) -> tuple[str, ...]:
    """Return the sentences; files : what each session's file is called."""
    return (*_between(between, files), *_joined(comparison, files), *_left_out(comparison, files))


def question(before: str, after: str) -> str:
    """Return what a person is asked of two sessions of a set."""
    return f"Was the set switched off and on between {clean(before)} and {clean(after)}?"


def _between(between: Sequence[Between], files: Sequence[str]) -> Iterator[str]:
    for one in between:
        words = BETWEEN.get(one.how)
        if words is not None:
            yield words.format(before=clean(files[one.before]), after=clean(files[one.after]))


def _joined(comparison: Comparison, files: Sequence[str]) -> Iterator[str]:
    for one in (one for own in comparison.sets for one in own.power_ups):
        runs = [run for session, run in one.joined if session == one.session]
        if runs:
            counted = listed([str(run) for run in (one.run, *runs)])
            yield (
                f"Runs {counted} of {clean(files[one.session])} share a switch-on: nobody said that the set was "
                "switched off and on between them."
            )


def _left_out(comparison: Comparison, files: Sequence[str]) -> Iterator[str]:
    for own in comparison.sets:
        for session, run in own.left_out:
            yield f"Run {run} of {clean(files[session])} is of another kind than the runs compared, and is left out."
