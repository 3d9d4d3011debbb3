"""A test's name and the run that goes with it."""

from collections.abc import Callable

from benchapp.procedures.ground.conclusions import Helper
from benchapp.procedures.ground.plan import RunPlan
from benchapp.procedures.ground.procedure import Procedure
from benchapp.procedures.ground.run_part import RunPart
from benchapp.records.errors import WrongCall
from benchapp.records.named_tests import Parts, named_test, names_of_tests
from benchapp.records.run import RunSettings

RUNS: Parts[RunPart] = Parts("benchapp.procedures.{}.run_part")
_CORRECTION = "A correction belongs to the latencies of {owner}, not to {test}. Leave it out."
_OWNED = {
    "switch_ons": "Switch-ons belong to {owner}, not to {test}. Leave them out.",
    "correction_ms": _CORRECTION,
    "correction_within_ms": _CORRECTION,
}
"""Settings that are refused where they say nothing to a test; the others are passed over."""


def begin_procedure(plan: RunPlan, draw: Callable[[], float], helper: Helper | None = None) -> Procedure:
    """Return the run of a plan's test; draw gives random numbers in [0, 1) for flips the probe makes itself.

    helper works its figures out; without one that is done at once.

    Raises WrongCall for a test that has none.
    """
    return _part(plan.test).begin(plan, draw, helper)


def check_settings(test: str, settings: RunSettings) -> None:
    """Raise WrongCall, naming what was wanted, for settings that a test cannot be run with."""
    if settings.seconds is not None and settings.seconds <= 0:
        raise WrongCall(f"A run lasts longer than 0 s; {settings.seconds:g} s were asked for.")
    for name, count in (("cycles", settings.cycles), ("positions", settings.positions)):
        if count is not None and count < 1:
            raise WrongCall(f"A run has at least one of its {name}; {count} were asked for.")
    for name, refusal in _OWNED.items():
        if getattr(settings, name) is not None and name not in named_test(test).options:
            owner = next(known for known in names_of_tests() if name in named_test(known).options)
            raise WrongCall(refusal.format(owner=owner, test=test))
    _part(test).check(settings)


def _part(test: str) -> RunPart:
    part = RUNS.find(test)
    if part is None:
        raise WrongCall(f"There is no machine for the test {test[:40]!a}.")
    return part
