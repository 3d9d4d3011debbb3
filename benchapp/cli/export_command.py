"""`benchapp export`: raw evidence out."""

import argparse

from benchapp.cli.printing import say
from benchapp.desk.exporting import export
from benchapp.desk.names import shown


def run_export(asked: argparse.Namespace) -> int:
    """Write the evidence of a session as a capture; return 0."""
    export(asked.session, asked.out, to=asked.to, force=asked.force)
    say(f"Wrote {shown(asked.out)}.")
    return 0
