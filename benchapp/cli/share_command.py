"""`benchapp share`: a copy to give away."""

import argparse

from benchapp.cli.printing import say, say_aside
from benchapp.desk.names import shown
from benchapp.desk.sharing import share
from benchapp.presentation.screens.sharing_words import left_out_text, stays_text


def run_share(asked: argparse.Namespace) -> int:
    """Copy a session without what is private in it, and say what was left out; return 0."""
    shared = share(asked.session, asked.out, force=asked.force)
    for line in shared.damage:
        say_aside(f"{shown(asked.session)}: {line}")
    say_aside(left_out_text(shared.fields, notes=shared.notes, marks=shared.marks, photo=shared.photo))
    say_aside(stays_text(shared.name))
    same = "the same" if shared.copied_code == shared.code else "another, for what was missing was noted in the copy"
    say(f"Wrote {shown(asked.out)}, evidence code {shared.copied_code} ({same}).")
    return 0
