"""A test's name and the reduction that goes with it."""

from collections.abc import Iterable, Mapping

from benchapp.records.errors import WrongInput
from benchapp.records.findings import REDUCTION_VERSION, RunFindings, SessionFindings
from benchapp.records.named_tests import Parts, names_of_tests
from benchapp.records.run import RunEvidence
from benchapp.reduction.ground.recipe import Recipe
from benchapp.waveforms.flips import HOLD_OFF_NS
from benchapp.waveforms.polarity import LONGEST_PULSE_NS, SHORTEST_PULSE_NS
from benchapp.waveforms.transitions import SPIKE_NS

RECIPES: Parts[Recipe] = Parts("benchapp.reduction.{}.recipe")


def settings() -> Mapping[str, float]:
    """Return what the reductions are set to, printed with every finding: what all share, then test by test."""
    found = {
        "hold_off_ms": HOLD_OFF_NS / 1e6,
        "shortest_pulse_ms": SHORTEST_PULSE_NS / 1e6,
        "longest_pulse_ms": LONGEST_PULSE_NS / 1e6,
        "spike_ms": SPIKE_NS / 1e6,
    }
    for recipe in RECIPES.all():
        found |= recipe.settings
    return found


def reduce_run(evidence: RunEvidence) -> RunFindings:
    """Return the findings of one run by the recipe of its test.

    Raises WrongInput for a test this version does not know, NotEnoughData where a lead it needs is missing.
    """
    recipe = RECIPES.find(evidence.test)
    if recipe is None:
        known = ", ".join(names_of_tests())
        raise WrongInput(f"run {evidence.run} is a test {evidence.test[:40]!a}; this version reduces {known}")
    return recipe.reduce(evidence)


def reduce_session(runs: Iterable[RunEvidence]) -> SessionFindings:
    """Return the findings of every run, with the reduction's version and settings."""
    return SessionFindings(runs=tuple(reduce_run(run) for run in runs), version=REDUCTION_VERSION, settings=settings())
