"""The findings of a session as one page, in the order a report is read."""

from collections.abc import Iterable, Sequence
from dataclasses import replace

from benchapp.presentation.ground.cleaning import clean
from benchapp.presentation.ground.human_ruler import Flight
from benchapp.presentation.ground.numbers import counted, when
from benchapp.presentation.ground.page import PRACTICE_MARK, Block, Heading, Page, Paragraph, Tone
from benchapp.presentation.report_page.closing_part import definitions_part, evidence_part, no_runs_part
from benchapp.presentation.report_page.first_sheet import first_sheet, run_head, shown
from benchapp.presentation.report_page.means_part import means_part
from benchapp.presentation.report_page.overview import overview, run_title
from benchapp.presentation.report_page.safety_part import safety_part
from benchapp.presentation.report_page.tested_part import tested_part
from benchapp.presentation.report_page.versions import other_version
from benchapp.presentation.shown import shown_test, test_words
from benchapp.records.findings import RunFindings, SessionFindings
from benchapp.records.named_tests import times_flips
from benchapp.records.run import Origin, RunEvidence, SessionFacts


def build_page(
    facts: SessionFacts, findings: SessionFindings, evidence: Sequence[RunEvidence], flight: Flight | None = None
) -> Page:
    """Return the page of a session: one sheet to hand over, then everything behind it.

    The sheet has safety, verdict, figure, dots, the human ruler (drawn for flight), what was tested, and the evidence
    code; of several runs it is an overview. Behind it: each run's meaning, plots and tables, what was tested in full,
    the cautions, definitions, evidence. Works with any session: no run, too few flips, values that do not exist, names
    of any kind and length.
    """
    flight = flight or Flight()
    practice = facts.origin is Origin.PRACTICE
    recorded = {run.run: run for run in evidence}
    runs = findings.runs
    tested = tested_part(facts, flips=not runs or any(times_flips(run.test) for run in runs))
    several = len(runs) > 1
    blocks: list[Block] = list((overview if several else first_sheet)(facts, findings, flight))
    other = other_version(facts, findings)
    if other:
        blocks.append(Paragraph(text=other, tone=Tone.SOFT))
    if not runs:
        blocks += no_runs_part()
    for place, run in enumerate(shown(runs)):
        key = f"run-{run.run}-" if several else ""
        others = tuple(other for other in runs if other is not run)
        if several:
            blocks.append(Heading(text=run_title(run), key=key.rstrip("-"), opens_sheet=place == 0))
            blocks += run_head(run, key=key, practice=practice, flight=None)
        between = () if several else tested
        blocks += run_part(run, recorded.get(run.run), key=key, practice=practice, others=others, tested=between)
    if several or not shown(runs):
        blocks += (_on_a_sheet(tested[0]) if not shown(runs) else tested[0], *tested[1:])
    blocks += (*safety_part(facts), *definitions_part(findings), *evidence_part(facts, findings))
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
    tested: Sequence[Block] = (),
) -> Iterable[Block]:
    """Return everything that lies behind one run's verdict and figure.

    key stands before the keys of its headings where there are several runs; others : the session's other runs
    tested : what was tested, in full, where it goes between the run's signals and its tables
    """
    yield from means_part(run, key=key, practice=practice, others=others, opens_sheet=not key)
    test = shown_test(run.test)
    first = test.first_drawing(run.result, practice=practice)
    plots = test.plots(run, run.result, evidence, key=key, practice=practice)
    yield from _not_bare([block for block in plots if block != first])
    tables = test.tables(run, run.result, others, key=key)
    output = next((at for at, block in enumerate(tables) if _is_output(block)), len(tables))
    yield from (*tables[output:], *tested, *tables[:output])
    yield from test.trials(run, run.result, key=key)


def _not_bare(blocks: Sequence[Block]) -> Sequence[Block]:
    """Return the blocks; none where there is a heading and nothing below it."""
    return blocks if any(not isinstance(block, Heading) for block in blocks) else ()


def _is_output(block: Block) -> bool:
    return isinstance(block, Heading) and block.key.endswith("output")


def _on_a_sheet(block: Block) -> Block:
    return replace(block, opens_sheet=True) if isinstance(block, Heading) else block


def _subtitle(facts: SessionFacts, findings: SessionFindings) -> str:
    tests = dict.fromkeys(test_words(run.test) for run in findings.runs)
    parts = [", ".join(tests) or "No test yet", when(facts.started)]
    if len(findings.runs) > 1:
        parts.append(counted(len(findings.runs), "run"))
    if facts.origin is Origin.PRACTICE:
        parts.append(PRACTICE_MARK)
    return " · ".join(parts)
