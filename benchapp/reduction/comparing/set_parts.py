"""The runs of a set that a comparison takes together, and those it leaves out."""

from collections.abc import Sequence
from dataclasses import dataclass

from benchapp.records.comparison import ComparedSession, Likeness, RunSpan
from benchapp.records.findings import Latency, RunFindings
from benchapp.records.sweep_findings import Linearity, Steadiness

Result = Latency | Linearity | Steadiness


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class RunPart:
    """One run of a set, with where it stands. session : the session's place in the comparison."""

    session: int
    run: RunFindings
    span: RunSpan
    likeness: Likeness
    result: Result


def run_parts(place: int, session: ComparedSession) -> tuple[RunPart, ...]:
    """Return the runs of one session that concluded something; a run of which no span is known is none."""
    return tuple(
        RunPart(
            session=place,
            run=run,
            span=session.spans[run.run],
            likeness=_likeness(session, run, result),
            result=result,
        )
        for run in session.findings.runs
        if run.run in session.spans and (result := result_of(run)) is not None
    )


def result_of(run: RunFindings) -> Result | None:
    """Return what a run concludes: its latency, its linearity or its steadiness."""
    return next((found for found in (run.latency, run.linearity, run.steadiness) if found is not None), None)


def wanted_test(sets: Sequence[Sequence[RunPart]], tests: Sequence[str]) -> str:
    """Return the test that most of the sets have, the first in the order of the tests among equals; "" for none."""
    had = [{part.likeness.test for part in parts} for parts in sets]
    counts = [sum(test in own for own in had) for test in tests]
    most = max(counts, default=0)
    return tests[counts.index(most)] if most else ""


def like_parts(parts: Sequence[RunPart], test: str) -> tuple[RunPart, ...]:
    """Return a set's runs of that test that are like the first of them; of another test where it has none of that."""
    own = [part for part in parts if part.likeness.test == test] or list(parts)
    return tuple(part for part in own if part.likeness == own[0].likeness)


def _likeness(session: ComparedSession, run: RunFindings, result: Result) -> Likeness:
    practice = session.facts.origin.value == "practice"
    return Likeness(
        test=run.test,
        origin="practice" if practice else "real",
        control=run.control,
        pick_up=session.spans[run.run].pick_up.value if isinstance(result, Latency) else "",
        against=result.against if isinstance(result, Linearity) else "",
    )
