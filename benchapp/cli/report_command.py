"""`benchapp report`: a session as HTML, PDF, JSON and CSV."""

import argparse

from benchapp.cli.printing import say
from benchapp.cli.session_asides import say_state
from benchapp.desk.names import shown
from benchapp.desk.reporting import write_report
from benchapp.presentation.ground.human_ruler import Flight


def run_report(asked: argparse.Namespace) -> int:
    """Write the report; return 0."""
    pdf, photo = not asked.no_pdf, not asked.no_photo
    flight = None if asked.speed is None else Flight(speed_m_per_s=asked.speed, chosen=True)
    loaded = write_report(
        asked.session, asked.out, pdf=pdf, force=asked.force, photo=photo, all_flips=asked.all_flips, flight=flight
    )
    say_state(asked.session, loaded)
    say(f"Wrote the report into {shown(asked.out)}.")
    return 0
