"""What a run of flips says in one short line, to stand over a figure that already shows its gives or takes."""

from benchapp.presentation.flips.flip_places import figure_places
from benchapp.presentation.ground.enough import has_figure
from benchapp.presentation.ground.numbers import with_unit
from benchapp.presentation.ground.wording import CONTROLS
from benchapp.records.findings import Latency, RunFindings

KEPT_STEP = "your flips kept step with the radio, so this is one case and not the average"


def short_verdict(run: RunFindings, latency: Latency) -> str:
    """Return "From the switch to the end of the servo pulse this set took 58.83 ms on average."; "" without one."""
    if not has_figure(latency):
        return ""
    control = CONTROLS.get(latency.control, "the control")
    took = with_unit(latency.headline.value_ms, figure_places(latency), "ms")
    start = f"From {control} to the end of the servo pulse this set took {took}"
    return f"{start}; but {KEPT_STEP}." if "phase-locked" in run.flags else f"{start} on average."
