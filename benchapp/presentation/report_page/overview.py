"""The first sheet of a report of several runs: safety, a line for each run, what was tested, the state of the set."""

from benchapp.presentation.ground.human_ruler import Flight
from benchapp.presentation.ground.page import Block, Facts, Heading, Row
from benchapp.presentation.ground.wording import OUTCOMES
from benchapp.presentation.report_page.first_sheet import (
    last_lines,
    ruler_part,
    safety_lines,
    tested_lines,
)
from benchapp.presentation.report_page.verdict import verdict
from benchapp.presentation.shown import shown_test, test_words
from benchapp.records.findings import RunFindings, SessionFindings
from benchapp.records.run import Origin, Outcome, SessionFacts


def overview(facts: SessionFacts, findings: SessionFindings, flight: Flight) -> tuple[Block, ...]:
    """Return the overview of a session with several runs; the ruler is that of the latest run with a time."""
    practice = facts.origin is Origin.PRACTICE
    rows = tuple(Row(label=run_title(run), value=verdict(run)) for run in findings.runs)
    timed = next((run for run in reversed(findings.runs) if _has_time(run)), None)
    return (
        *safety_lines(facts),
        Heading(text="The runs", key="runs"),
        Facts(caption="What each run found", rows=rows, label_share=0.24),
        *(ruler_part(timed, flight, key="", practice=practice) if timed is not None else ()),
        *tested_lines(facts, timed or findings.runs[0]),
        *last_lines(facts),
    )


def run_title(run: RunFindings) -> str:
    """Return "Run 2: Stick sweep, stopped early"; how it ended is said only where it did not end by itself."""
    ended = f", {OUTCOMES[run.outcome]}" if run.outcome is not Outcome.COMPLETE else ""
    return f"Run {run.run}: {test_words(run.test)}{ended}"


def _has_time(run: RunFindings) -> bool:
    return shown_test(run.test).timed(run.result) is not None
