"""What is said of a copy of a session without what is private in it."""

from collections.abc import Sequence

from benchapp.presentation.ground.bench_fields import NOTES, READY, TOGETHER, UNDER_TEST
from benchapp.presentation.ground.cleaning import clean
from benchapp.presentation.ground.numbers import counted

_LABELS = {**TOGETHER, **UNDER_TEST, **READY, NOTES: "Notes of the bench"}


def left_out_text(fields: Sequence[str], *, notes: int, marks: int, photo: bool) -> str:
    """Return what a copy lacks, each field by its label."""
    parts = [f"“{_LABELS.get(key) or clean(key, limit=60)}”" for key in fields]
    parts += ["the photo of the bench"] if photo else []
    parts += [counted(notes, "note")] if notes else []
    parts += [f"the text of {counted(marks, 'mark')}"] if marks else []
    return f"Left out: {', '.join(parts)}." if parts else "Left out: nothing; there was no description and no note."


def stays_text(name: str) -> str:
    """Return what a copy keeps besides the evidence, so that whoever shares it can look at that too."""
    named = f"the session's name, “{clean(name, limit=80)}”, " if name else ""
    return f"It keeps {named}its date, the answers to the safety list and Put it back, and the probe's serial number."
