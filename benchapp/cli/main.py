"""The command line: one call in, text and an exit status out."""

import argparse
import errno
import os
import sys
import threading
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from types import TracebackType

from benchapp.cli.arguments import parser
from benchapp.cli.check_command import run_check
from benchapp.cli.compare_command import run_compare
from benchapp.cli.crash import keep_details
from benchapp.cli.export_command import run_export
from benchapp.cli.import_command import run_import
from benchapp.cli.menu_command import run_menu
from benchapp.cli.ports_command import run_ports
from benchapp.cli.printing import say_aside, say_error
from benchapp.cli.probe_command import run_probe
from benchapp.cli.record_command import run_record
from benchapp.cli.reduce_command import run_reduce
from benchapp.cli.report_command import run_report
from benchapp.cli.share_command import run_share
from benchapp.desk.tidying import tidy
from benchapp.presentation.screens.shelf_words import tidied_sentence
from benchapp.records.errors import BenchError, DiskTrouble, OutOfMemory

INTERRUPTED = 130
UNEXPECTED = 3
_COMMANDS: Mapping[str, Callable[..., int]] = {
    "record": run_record,
    "import": run_import,
    "reduce": run_reduce,
    "report": run_report,
    "compare": run_compare,
    "export": run_export,
    "share": run_share,
    "check": run_check,
    "ports": run_ports,
    "menu": run_menu,
    "probe": run_probe,
}


def main(words: Sequence[str]) -> int:
    """Carry out one call and return its exit status. Never raises; a fault is one plain line on stderr."""
    return guarded(lambda: _carry_out(words))


def guarded(work: Callable[[], int]) -> int:
    """Return what the work returns, or the exit status of what went wrong, once that has been said."""
    before, threading.excepthook = threading.excepthook, _keep_thread_details
    try:
        status = work()
        sys.stdout.flush()
        return status
    except BenchError as error:
        say_error(error)
        return error.status
    except MemoryError:
        say_error(OutOfMemory("There is not enough memory for that. Close other programs, or take a shorter session."))
        return OutOfMemory.status
    except KeyboardInterrupt:
        return INTERRUPTED
    except BrokenPipeError:
        _forget_stdout()
        return 0
    except Exception as error:  # noqa: BLE001 - the last resort: a plain line instead of a traceback
        return _last_resort(error)
    finally:
        threading.excepthook = before


def _last_resort(error: Exception) -> int:
    """Say what nobody foresaw, or that stdout has no room, on one plain line; return the exit status."""
    if isinstance(error, OSError) and error.errno == errno.ENOSPC:
        _forget_stdout()
        say_error(DiskTrouble("There is no room for what this call prints. Make room, or print it somewhere else."))
        return DiskTrouble.status
    keep_details(error)
    return UNEXPECTED


def _carry_out(words: Sequence[str]) -> int:
    try:
        asked = parser().parse_args(words)
    except SystemExit as ending:  # --help and --version have printed what they say
        return int(ending.code or 0)
    _tidy(asked)
    return _COMMANDS[asked.command](asked)


def _tidy(asked: argparse.Namespace) -> None:
    """Remove what kills left where this call will write, and say so."""
    out = getattr(asked, "out", None)
    if not isinstance(out, Path):
        return
    folder = out.absolute().parent
    count = tidy(folder)
    if count:
        say_aside(tidied_sentence(count, str(folder)))


def _forget_stdout() -> None:
    """Let the interpreter flush into nothing: whoever read stdout has gone."""
    nothing = os.open(os.devnull, os.O_WRONLY)
    try:
        os.dup2(nothing, sys.stdout.fileno())
    except (OSError, ValueError):
        pass  # stdout is no file: nothing to redirect
    finally:
        os.close(nothing)


def _keep_thread_details(args: threading.ExceptHookArgs) -> None:
    error: BaseException = args.exc_value or args.exc_type()
    trace: TracebackType | None = args.exc_traceback
    keep_details(error.with_traceback(trace))
