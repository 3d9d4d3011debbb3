"""`benchapp probe`: looks after a probe."""

import argparse
from collections.abc import Callable, Mapping

from benchapp.cli.asking import insist_on_yes
from benchapp.cli.interrupting import stop_on_interrupt
from benchapp.cli.printing import one_line, say, say_aside
from benchapp.cli.progress_line import ProgressLine
from benchapp.desk.clock_check import check_clock
from benchapp.desk.probe_install import install_probe
from benchapp.desk.probe_program import read_program
from benchapp.desk.recording import is_practice
from benchapp.desk.seen_ports import is_seen
from benchapp.desk.self_test import self_test
from benchapp.presentation.screens.probe_words import (
    ask_before_driving,
    ask_before_installing,
    ask_before_opening,
    ask_before_testing,
    clock_progress_text,
    clock_texts,
    install_text,
    installed_text,
    self_test_text,
    self_test_texts,
)
from benchapp.records.self_test import SelfTestProgress, SelfTestStep

_OTHERWISE = "If nothing the board drives can move or switch, call again with --yes."
_OTHERWISE_WIRE = "If only the test's wire is on the probe, call again with --yes."


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


def _test(asked: argparse.Namespace) -> int:
    if not asked.yes and not is_practice(asked.port):
        # also of a probe that is known: something may be on the lead that the test moves
        question = ask_before_driving if is_seen(asked.port) else ask_before_testing
        insist_on_yes(question(asked.port), otherwise=_OTHERWISE_WIRE)
    told: list[str] = []

    def tell(progress: SelfTestProgress) -> None:
        text = self_test_text(progress)
        line.show_text(text)
        if progress.step is SelfTestStep.JUMPER and text not in told[-1:]:
            told.append(text)
            say_aside(text)  # what to do must be readable where stderr is no terminal, and stay where it is one

    with stop_on_interrupt() as stop, ProgressLine() as line:
        found = self_test(asked.port, tell=tell, stop=stop)
    for text in self_test_texts(found):
        say(one_line(text))
    return 0


def _clock(asked: argparse.Namespace) -> int:
    _agree(asked, ask_before_opening)
    with stop_on_interrupt() as stop, ProgressLine() as line:
        found = check_clock(
            asked.port,
            seconds=asked.seconds,
            tell=lambda progress: line.show_text(clock_progress_text(progress)),
            stop=stop,
        )
    for text in clock_texts(found):
        say(one_line(text))
    return 0


def _agree(asked: argparse.Namespace, question: Callable[[str], str]) -> None:
    """Ask before a port is touched on which no probe was seen. Raises SafetyRefused."""
    if not asked.yes and not is_practice(asked.port) and not is_seen(asked.port):
        insist_on_yes(question(asked.port), otherwise=_OTHERWISE)


_WISHES: Mapping[str, Callable[[argparse.Namespace], int]] = {
    "install": _install,
    "test": _test,
    "clock": _clock,
}
