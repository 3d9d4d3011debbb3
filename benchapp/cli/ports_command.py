"""`benchapp ports`: the serial ports, and which of them is a probe."""

import argparse

from benchapp.cli.printing import one_line, say
from benchapp.desk.ports import Port, greeted_ports


def run_ports(asked: argparse.Namespace) -> int:
    """List the serial ports; return 0."""
    found = greeted_ports(everyone=asked.greet)
    if not found:
        say("No serial port. Plug the probe in, or try practice://alder.")
    for port in found:
        say(one_line(f"{port.name}: {_words(port)}"))
    return 0


def _words(port: Port) -> str:
    about = port.facts.words or "no description"
    if port.board is not None:
        return f"a probe, serial {port.board.serial or 'not stated'}, program {port.board.program or 'not stated'}"
    if port.trouble:
        return f"{about}. {port.trouble}"
    return f"{about} (not greeted; benchapp ports --greet asks what it is)"
