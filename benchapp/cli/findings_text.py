"""Findings as plain text for a terminal."""

from collections.abc import Iterator, Sequence

from benchapp.desk.loading import Loaded
from benchapp.presentation.ground.cleaning import clean
from benchapp.presentation.ground.page import PRACTICE_MARK
from benchapp.presentation.ground.wording import OUTCOMES, note_sentence
from benchapp.presentation.report_page.verdict import meaning, verdict
from benchapp.presentation.report_page.versions import other_version
from benchapp.presentation.shown import flag_words, shown_test, test_words
from benchapp.records.findings import RunFindings
from benchapp.records.run import Origin


def findings_lines(loaded: Loaded) -> list[str]:
    """Return the findings of a session as lines: each run's verdict, figure, counts, table, reasons and flags."""
    lines = [clean(loaded.facts.name) or "Session without a name"]
    if loaded.facts.origin is Origin.PRACTICE:
        lines.append(PRACTICE_MARK)
    other = other_version(loaded.facts, loaded.findings)
    if other:
        lines.append(other)
    if not loaded.findings.runs:
        lines.append("No test finished yet.")
    for run in loaded.findings.runs:
        others = [other for other in loaded.findings.runs if other is not run]
        lines += ["", *_run_lines(run, others)]
    return [*lines, "", f"Evidence code {loaded.facts.evidence_hash}"]


def _run_lines(run: RunFindings, others: Sequence[RunFindings]) -> Iterator[str]:
    yield f"Run {run.run}: {test_words(run.test)}, {OUTCOMES[run.outcome]}"
    yield f"  {verdict(run)}"
    yield from (f"  {sentence}" for sentence in meaning(run, others))
    yield from shown_test(run.test).terminal(run, run.result, others)
    yield from (f"  Mind: {flag_words(flag, run.test).sentence}" for flag in run.flags)
    yield from (f"  Note: {note_sentence(note)}" for note in run.notes)
