"""`benchapp record`: a test without a window."""

import argparse
import time
from collections.abc import Callable
from dataclasses import replace

from benchapp.acquisition.status import Status
from benchapp.cli.asking import agree_to_open
from benchapp.cli.interrupting import ended_as_interrupted
from benchapp.cli.printing import say, say_aside, say_error
from benchapp.cli.progress_line import ProgressLine
from benchapp.cli.run_settings import run_settings
from benchapp.cli.run_text import ended_text, figure_text
from benchapp.cli.safety_prompt import confirmed_lines, safety_answer, yes_safe_lines
from benchapp.cli.switch_on_prompt import ask_switched_on, check_terminal
from benchapp.cli.typed import unique
from benchapp.desk.bench_file import read_bench
from benchapp.desk.loading import Loaded, load
from benchapp.desk.names import shown
from benchapp.desk.recording import Recorded, RecordOrder, check_order, is_practice, record
from benchapp.presentation.ground.run_words import PRACTICE_RUN
from benchapp.presentation.shown import shown_test
from benchapp.procedures.ground.progress import RunProgress
from benchapp.records.errors import BenchError, SessionTakenAway
from benchapp.records.run import Origin


def run_record(asked: argparse.Namespace) -> int:
    """Run a test and keep it; return 0, or the status of the trouble that ended it early."""
    order = RecordOrder(
        probe=asked.probe,
        test=asked.test,
        out=asked.out,
        settings=run_settings(asked),
        confirmed=(),
        clips=unique(asked.lead, "--lead"),
        bench=read_bench(asked.bench) if asked.bench else {},
        pick_up=asked.pick_up,
        bench_file=asked.bench,
        truth=asked.truth,
        force=asked.force,
    )
    check_order(order)
    origin = Origin.PRACTICE if is_practice(asked.probe) else Origin.PROBE
    if origin is Origin.PROBE:
        check_terminal(asked.switch_ons)
    answered_ns: dict[str, int] = {}

    def note(line: str) -> None:
        answered_ns[line] = time.monotonic_ns()

    safe = confirmed_lines(origin, yes_safe=asked.yes_safe, on_bench=asked.on_bench, note=note)
    answer = safety_answer(yes_safe=asked.yes_safe)
    order = replace(
        order,
        confirmed=safe.lines,
        on_bench=safe.on_bench,
        bench_said=safe.bench_said,
        answered_ns=answered_ns,
        answer=answer,
    )
    agree_to_open(asked.probe)
    listed = yes_safe_lines(origin, safe) if asked.yes_safe else ()
    with ended_as_interrupted(), ProgressLine() as line:

        def switched_on(run: RunProgress, still_wanted: Callable[[], bool]) -> tuple[str, ...] | None:
            line.clear()
            return ask_switched_on(run, order.confirmed, still_wanted)

        recorded = record(order, _Telling(line).tell, switched_on, before_run=lambda: line.print_above(listed))
    if origin is Origin.PRACTICE:
        say(PRACTICE_RUN)
    return _told(recorded)


class _Telling:
    """Follows a run on the progress line, and says at once when its file was taken away."""

    def __init__(self, line: ProgressLine) -> None:
        self._line = line
        self._said = ""

    def tell(self, status: Status) -> None:
        """Show how things are."""
        if status.trouble == SessionTakenAway.__name__ and status.message != self._said:
            self._said = status.message
            self._line.show_text("")
            say_aside(f"{status.message} {status.kept}")
        self._line.show(status)


def _told(recorded: Recorded) -> int:
    found = _loaded(recorded)
    if recorded.trouble is not None:
        say_error(recorded.trouble)
        say(found.message if isinstance(found, BenchError) else _kept(found))
    else:
        figure = figure_text(recorded.run)
        say(ended_text(recorded.run))
        if figure:
            say(f"The figure: {figure}.")
    if not isinstance(found, BenchError):
        code = f", evidence code {recorded.evidence_hash}" if recorded.evidence_hash else ""
        say(f"Kept in {shown(recorded.path)}{code}.")
    return recorded.trouble.status if recorded.trouble else 0


def _loaded(recorded: Recorded) -> Loaded | BenchError | None:
    """Return what the file of a run that trouble ended holds; None after a run as asked, whose file was read back."""
    if recorded.trouble is None:
        return None
    try:
        return load(recorded.path)
    except BenchError as error:
        return error


def _kept(found: Loaded | None) -> str:
    """Return what the file holds of a run that trouble ended: what was seen beyond that was not saved."""
    runs = found.findings.runs if found is not None else ()
    if not runs:
        return "No run was kept."
    words = shown_test(runs[-1].test).kept_words(runs[-1].result)
    return f"{words} Reduce the file for its figures."
