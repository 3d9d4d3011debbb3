"""`benchapp reduce`: the findings of sessions."""

import argparse
from collections.abc import Sequence
from pathlib import Path

from benchapp.cli.findings_text import findings_lines
from benchapp.cli.printing import say
from benchapp.cli.session_asides import say_state
from benchapp.desk.loading import Loaded, load
from benchapp.desk.names import shown
from benchapp.records.errors import BenchError
from benchapp.report.findings_json import document_text, findings_document

FLAGGED = frozenset(("insufficient", "phase-locked", "damaged-evidence"))
"""What makes `--strict` end with 1."""


def run_reduce(asked: argparse.Namespace) -> int:
    """Print the findings of every session, once all are read; return 0, or 1 if strict and flagged."""
    sessions = [_load(path, one_of=len(asked.sessions)) for path in asked.sessions]
    for path, loaded in zip(asked.sessions, sessions, strict=True):
        say_state(path, loaded)
    if asked.json:
        documents = [findings_document(loaded.facts, loaded.findings) for loaded in sessions]
        say(document_text(documents[0] if len(documents) == 1 else [*documents]).rstrip("\n"))
    else:
        say("\n\n".join("\n".join(findings_lines(loaded)) for loaded in sessions))
    return int(asked.strict and _flagged(sessions))


def _load(path: Path, *, one_of: int) -> Loaded:
    """Return a session with its findings; among several, a refusal names the one it means with its folder."""
    try:
        return load(path)
    except BenchError as refusal:
        if one_of > 1 and shown(path) not in refusal.message:
            refusal.message = f"{shown(path)}: {refusal.message}"
        raise


def _flagged(sessions: Sequence[Loaded]) -> bool:
    return any(FLAGGED.intersection(run.flags) for loaded in sessions for run in loaded.findings.runs)
