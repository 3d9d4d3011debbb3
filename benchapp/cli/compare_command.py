"""`benchapp compare`: sets side by side, and which is quickest."""

import argparse
import sys

from benchapp.cli.printing import one_line, say, say_aside
from benchapp.cli.session_asides import say_state
from benchapp.desk.comparing import Compared, compare_sessions, compared_session
from benchapp.desk.names import shown
from benchapp.presentation.comparison.asides import asides, question
from benchapp.presentation.comparison.comparison_lines import comparison_lines
from benchapp.records.comparison import CANNOT_TELL
from benchapp.report.comparison_json import comparison_document
from benchapp.report.findings_json import document_text

_ANSWERS = {"y": True, "yes": True, "n": False, "no": False, "": None, "not known": None, "?": None}


def run_compare(asked: argparse.Namespace) -> int:
    """Print the comparison; return 0, or 1 where a session was left out, or where strict and a pair cannot be told."""
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
    files = [path.name for path in found.paths]
    if asked.json:
        sessions = [compared_session(one) for one in found.sessions]
        say(document_text(comparison_document(found.comparison, sessions, found.labels)).rstrip("\n"))
    else:
        sentences = asides(found.comparison, found.between, files)
        say("\n".join(comparison_lines(found.comparison, found.labels, sentences)))
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
