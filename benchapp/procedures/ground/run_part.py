"""How a run of a named test is begun, and what may be asked of it."""

from collections.abc import Callable
from dataclasses import dataclass

from benchapp.procedures.ground.conclusions import Helper
from benchapp.procedures.ground.plan import RunPlan
from benchapp.procedures.ground.procedure import Procedure
from benchapp.records.run import RunSettings

Begin = Callable[[RunPlan, Callable[[], float], Helper | None], Procedure]


def _anything(_settings: RunSettings) -> None:
    """Refuse nothing."""


@dataclass(frozen=True, kw_only=True, slots=True)
class RunPart:
    """One named test as it is run.

    begin : returns the run of a plan; draw gives random numbers in [0, 1) for what the probe does at random, and the
    helper works its figures out, at once where there is none
    check : raises WrongCall, naming what was wanted, for settings that it cannot be run with
    """

    begin: Begin
    check: Callable[[RunSettings], None] = _anything
