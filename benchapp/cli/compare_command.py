"""`benchapp compare`: sets side by side, and which is quickest."""

import argparse
import sys

from benchapp.cli.printing import one_line, say, say_aside
from benchapp.cli.session_asides import say_state
from benchapp.desk.comparing import Compared, compare_sessions
from benchapp.desk.comparison_report import asides_of, document_of, write_comparison
from benchapp.desk.folders import check_folder
from benchapp.desk.names import shown
from benchapp.presentation.comparison.asides import question
from benchapp.presentation.comparison.comparison_lines import comparison_lines
from benchapp.records.comparison import CANNOT_TELL
from benchapp.report.findings_json import document_text

_ANSWERS = {"y": True, "yes": True, "n": False, "no": False, "": None, "not known": None, "?": None}


def run_compare(asked: argparse.Namespace) -> int:
    """Print the comparison; return 0, or 1 where a session was left out, or where strict and a pair cannot be told."""
    if asked.out is not None:
        check_folder(asked.out, force=asked.force)
    answers = {"yes": True, "no": False}
    known = answers.get(asked.distinct)
    found = compare_sessions(
        asked.sessions,
        by_set=asked.by == "set",
        aim_ms=asked.aim,
        ask=_ask if asked.distinct == "ask" else lambda _one, _other: known,
    )
    for path, loaded in zip(found.paths, found.sessions, strict=True):
        say_state(path, loaded)
    if asked.out is not None:
        write_comparison(found, asked.out, pdf=not asked.no_pdf, force=asked.force)
    if asked.json:
        say(document_text(document_of(found)).rstrip("\n"))
    else:
        say("\n".join(comparison_lines(found.comparison, found.labels, asides_of(found))))
    if asked.out is not None:
        say_aside(f"Wrote the comparison into {shown(asked.out)}.")
    for one in found.refused:
        say_aside(f"{shown(one.path)} is left out: {one.why}")
    return int(bool(found.refused) or (asked.strict and _open(found)))


def _open(found: Compared) -> bool:
    return any(pair.verdict == CANNOT_TELL for pair in found.comparison.pairs)


def _ask(before: str, after: str) -> bool | None:
    """Return what a person at the terminal answers; None for not known, and where there is no terminal."""
    if not sys.stdin.isatty():
        return None
    while True:
        print(f"{one_line(question(before, after))} [yes/no/not known] ", end="", file=sys.stderr, flush=True)
        typed = sys.stdin.readline()
        word = " ".join(typed.split()).lower()
        if not typed or word in _ANSWERS:
            return _ANSWERS.get(word)
