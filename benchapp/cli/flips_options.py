"""The options of switch-flip."""

import argparse

from benchapp.cli.call_options import CallOptions
from benchapp.cli.typed import counted, number
from benchapp.desk.recording import MOST_SWITCH_ONS
from benchapp.records.run import RunSettings
from benchapp.records.run_settings import MOST_CORRECTION_MS

MOST_FLIPS = 100_000
USUAL_FLIPS = 60
MOST_FLIPS_TO_A_TARGET = 2000
"""Where only a target is given: a give or take that is never reached would otherwise never end."""


def _fill(record: argparse.ArgumentParser) -> None:
    record.add_argument(
        "--flips", type=counted(MOST_FLIPS), metavar="N", help="flips of the switch; 60 if no end is given"
    )
    record.add_argument(
        "--switch-ons",
        type=counted(MOST_SWITCH_ONS),
        metavar="K",
        help="switch-flip: spread the flips over so many switch-ons of the transmitter; 1",
    )
    record.add_argument("--target-ms", type=number(1e-6, 1e6), metavar="X", help="stop at this give or take")
    _fill_correction(record)


def _fill_correction(parser: argparse.ArgumentParser) -> None:
    amount = number(-MOST_CORRECTION_MS, MOST_CORRECTION_MS)
    parser.add_argument("--correction", type=amount, metavar="MS", help="switch-flip: added to every latency, as -1.5")
    parser.add_argument(
        "--correction-within",
        type=number(0, MOST_CORRECTION_MS),
        metavar="MS",
        help="switch-flip: how far the correction may be off, either way",
    )


def _flips(asked: argparse.Namespace) -> RunSettings:
    flips = asked.flips
    spread = (asked.switch_ons or 1) > 1  # only a number of flips can be spread
    if flips is None and asked.target_ms is not None and not spread:
        flips = MOST_FLIPS_TO_A_TARGET
    if flips is None and (asked.seconds is None or spread):
        flips = max(USUAL_FLIPS, asked.switch_ons or 1)
    return RunSettings(
        flips=flips,
        seconds=asked.seconds,
        target_ms=asked.target_ms,
        switch_ons=asked.switch_ons,
        correction_ms=asked.correction,
        correction_within_ms=asked.correction_within,
    )


PART = CallOptions(
    fill=_fill,
    fill_import=_fill_correction,
    options={
        "flips": "--flips",
        "target_ms": "--target-ms",
        "switch_ons": "--switch-ons",
        "correction": "--correction",
        "correction_within": "--correction-within",
    },
    settings=_flips,
)
