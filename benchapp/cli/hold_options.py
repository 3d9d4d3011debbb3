"""The options of hold-still."""

import argparse

from benchapp.cli.call_options import CallOptions
from benchapp.cli.typed import counted
from benchapp.desk.recording import USUAL_HOLD_S
from benchapp.records.run import RunSettings

MOST_POSITIONS = 1000


def _fill(record: argparse.ArgumentParser) -> None:
    record.add_argument(
        "--positions",
        type=counted(MOST_POSITIONS),
        metavar="N",
        help="hold-still: at so many positions, for --seconds (20) at each",
    )


def _hold(asked: argparse.Namespace) -> RunSettings:
    return RunSettings(seconds=USUAL_HOLD_S if asked.seconds is None else asked.seconds, positions=asked.positions)


PART = CallOptions(fill=_fill, options={"positions": "--positions"}, settings=_hold)
