"""The definitions a report prints: those of the tests that were run, and those every test needs."""

from collections.abc import Mapping, Sequence

from benchapp.presentation.ground.page import Definition
from benchapp.presentation.shown import SHOWN, shown_test
from benchapp.records.findings import RunFindings

SHARED = ("pulse", "frame", "uncertainty", "evidence")
"""Definitions that every test needs."""
_EVIDENCE: Mapping[str, Definition] = {
    "evidence": Definition(
        word="Evidence code",
        meaning="A SHA-256 chain over everything recorded. The same code means the same evidence; notes and names are "
        "outside it.",
    ),
}


def definitions_of(runs: Sequence[RunFindings]) -> tuple[Definition, ...]:
    """Return the definitions that these findings use; those shared by all wherever there is any run."""
    keys = {"evidence"}.union(*(shown_test(run.test).definition_keys(run) for run in runs), SHARED if runs else ())
    return tuple(definition for key, definition in definitions().items() if key in keys)


def definitions() -> Mapping[str, Definition]:
    """Return all definitions by key, test by test; where two tests use one key, the first one's."""
    found: dict[str, Definition] = {}
    for part in SHOWN.all():
        found = {**found, **{key: value for key, value in part.definitions.items() if key not in found}}
    return {**found, **_EVIDENCE}
