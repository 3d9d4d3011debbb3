"""`benchapp probe`: looks after a probe."""

import argparse
from collections.abc import Callable, Mapping

from benchapp.cli.asking import insist_on_yes
from benchapp.cli.interrupting import stop_on_interrupt
from benchapp.cli.printing import one_line, say
from benchapp.cli.progress_line import ProgressLine
from benchapp.desk.probe_install import install_probe
from benchapp.desk.probe_program import read_program
from benchapp.desk.seen_ports import is_seen
from benchapp.presentation.probe_words import ask_before_installing, install_text, installed_text

_OTHERWISE = "If nothing the board drives can move or switch, call again with --yes."


def run_probe(asked: argparse.Namespace) -> int:
    """Do what was asked for a probe; return 0."""
    return _WISHES[asked.wish](asked)


def _install(asked: argparse.Namespace) -> int:
    read_program(asked.hex)  # a wrong file is said before anybody is asked anything
    _agree(asked, ask_before_installing)
    with stop_on_interrupt() as stop, ProgressLine() as line:
        installed = install_probe(
            asked.port, hex_file=asked.hex, tell=lambda progress: line.show_text(install_text(progress)), stop=stop
        )
    say(one_line(installed_text(installed)))
    return 0


def _agree(asked: argparse.Namespace, question: Callable[[str], str]) -> None:
    """Ask before a port is touched on which no probe was seen. Raises SafetyRefused."""
    if not asked.yes and not is_seen(asked.port):
        insist_on_yes(question(asked.port), otherwise=_OTHERWISE)


_WISHES: Mapping[str, Callable[[argparse.Namespace], int]] = {"install": _install}
