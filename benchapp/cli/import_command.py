"""`benchapp import`: a session from a capture."""

import argparse

from benchapp.cli.printing import say, say_aside
from benchapp.cli.typed import unique
from benchapp.desk.importing import ImportOrder, import_capture
from benchapp.desk.names import shown
from benchapp.records.errors import WrongCall
from benchapp.sessions.exchange.thresholds import threshold_named


def run_import(asked: argparse.Namespace) -> int:
    """Make a session of a capture; return 0."""
    thresholds = [threshold_named(text) for text in asked.threshold]
    if len(dict(thresholds)) < len(thresholds):
        raise WrongCall("--threshold names a lead twice; a lead has one threshold.")
    order = ImportOrder(
        capture=asked.capture,
        test=asked.test,
        out=asked.out,
        leads=unique(asked.lead, "--lead"),
        invert=tuple(dict.fromkeys(asked.invert)),
        time=asked.time,
        skip=asked.skip,
        thresholds=dict(thresholds),
        pick_up=asked.pick_up,
        correction_ms=asked.correction,
        correction_within_ms=asked.correction_within,
        force=asked.force,
    )
    for remark in import_capture(order):
        say_aside(remark)
    say(f"Wrote {shown(asked.out)}.")
    return 0
