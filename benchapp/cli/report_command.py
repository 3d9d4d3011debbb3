"""`benchapp report`: a session as HTML, PDF, JSON and CSV."""

import argparse

from benchapp.cli.printing import say
from benchapp.cli.session_asides import say_state
from benchapp.desk.names import shown
from benchapp.desk.reporting import write_report


def run_report(asked: argparse.Namespace) -> int:
    """Write the report; return 0."""
    pdf, photo = not asked.no_pdf, not asked.no_photo
    loaded = write_report(asked.session, asked.out, pdf=pdf, force=asked.force, photo=photo)
    say_state(asked.session, loaded)
    say(f"Wrote the report into {shown(asked.out)}.")
    return 0
