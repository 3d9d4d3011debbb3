"""The findings of a session as one page, in the order a report is read."""

from collections.abc import Iterable, Sequence

from benchapp.presentation.ground.cleaning import clean
from benchapp.presentation.ground.numbers import counted, when
from benchapp.presentation.ground.page import PRACTICE_MARK, Block, Heading, Page, Paragraph, Tone
from benchapp.presentation.ground.wording import OUTCOMES
from benchapp.presentation.report_page.closing_part import definitions_part, evidence_part, no_runs_part, reach_part
from benchapp.presentation.report_page.safety_part import safety_part
from benchapp.presentation.report_page.tested_part import tested_part
from benchapp.presentation.report_page.verdict import verdict_part
from benchapp.presentation.report_page.versions import other_version
from benchapp.presentation.shown import shown_test, test_words
from benchapp.records.findings import RunFindings, SessionFindings
from benchapp.records.named_tests import times_flips
from benchapp.records.run import Origin, RunEvidence, SessionFacts


def build_page(facts: SessionFacts, findings: SessionFindings, evidence: Sequence[RunEvidence]) -> Page:
    """Return the page of a session: safety, what was tested, each run's findings, definitions, evidence, reach.

    Works with any session: no run, too few flips, values that do not exist, names of any kind and length.
    """
    practice = facts.origin is Origin.PRACTICE
    recorded = {run.run: run for run in evidence}
    flips = not findings.runs or any(times_flips(run.test) for run in findings.runs)
    blocks: list[Block] = [*safety_part(facts), *tested_part(facts, flips=flips)]
    other = other_version(facts, findings)
    if other:
        blocks.append(Paragraph(text=other, tone=Tone.SOFT))
    if not findings.runs:
        blocks += no_runs_part()
    for run in findings.runs:
        key = "" if len(findings.runs) == 1 else f"run-{run.run}-"
        others = tuple(other for other in findings.runs if other is not run)
        blocks += run_part(run, recorded.get(run.run), key=key, practice=practice, others=others)
    blocks += [*definitions_part(findings), *evidence_part(facts, findings), *reach_part(facts)]
    return Page(
        title=clean(facts.name) or "Session without a name",
        subtitle=_subtitle(facts, findings),
        practice=practice,
        session=clean(facts.name),
        evidence_code=clean(facts.evidence_hash),
        software=clean(facts.software),
        blocks=tuple(blocks),
    )


def run_part(
    run: RunFindings,
    evidence: RunEvidence | None,
    *,
    key: str,
    practice: bool,
    others: Sequence[RunFindings] = (),
) -> Iterable[Block]:
    """Return everything about one run.

    key stands before the keys of its headings where there are several runs; others : the session's other runs
    """
    if key:
        outcome = OUTCOMES[run.outcome]
        yield Heading(text=f"Run {run.run}: {test_words(run.test)} ({outcome})", key=key.rstrip("-"))
    test = shown_test(run.test)
    yield from verdict_part(run, key=key, others=others)
    yield from test.figure(run, run.result, key=key, practice=practice)
    yield from test.plots(run, run.result, evidence, key=key, practice=practice)
    yield from test.tables(run, run.result, others, key=key)
    yield from test.trials(run, run.result, key=key)


def _subtitle(facts: SessionFacts, findings: SessionFindings) -> str:
    tests = dict.fromkeys(test_words(run.test) for run in findings.runs)
    parts = [", ".join(tests) or "No test yet", when(facts.started)]
    if len(findings.runs) > 1:
        parts.append(counted(len(findings.runs), "run"))
    if facts.origin is Origin.PRACTICE:
        parts.append(PRACTICE_MARK)
    return " · ".join(parts)
