"""The runs of a set that a comparison takes together, and those it leaves out."""

from collections.abc import Sequence
from dataclasses import dataclass

from benchapp.records.comparison import ComparedSession, Likeness, RunSpan
from benchapp.records.findings import RunFindings
from benchapp.records.named_tests import Parts
from benchapp.records.run import Origin
from benchapp.reduction.ground.compared_test import ComparedTest

COMPARED: Parts[ComparedTest] = Parts("benchapp.reduction.{}.compared")
"""What each named test brings along to be compared."""


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class RunPart:
    """One run of a set, with where it stands. session : the session's place in the comparison."""

    session: int
    run: RunFindings
    span: RunSpan
    likeness: Likeness
    compared: ComparedTest


def run_parts(place: int, session: ComparedSession) -> tuple[RunPart, ...]:
    """Return the runs of one session that can be compared; a run of which no span is known is none."""
    found = ((run, session.spans.get(run.run), COMPARED.find(run.test)) for run in session.findings.runs)
    return tuple(
        RunPart(
            session=place,
            run=run,
            span=span,
            likeness=_likeness(session, run, span, compared),
            compared=compared,
        )
        for run, span, compared in found
        if span is not None and compared is not None
    )


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


def _likeness(session: ComparedSession, run: RunFindings, span: RunSpan, compared: ComparedTest) -> Likeness:
    return Likeness(
        test=run.test,
        origin="practice" if session.facts.origin is Origin.PRACTICE else "real",
        control=run.control,
        pick_up=span.pick_up.value if compared.timed else "",
        against=compared.against(run),
    )
