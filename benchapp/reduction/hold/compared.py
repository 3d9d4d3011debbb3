"""What a hold brings along to be compared: how far the servo pulse wandered, and the frame's own steadiness."""

from collections.abc import Iterator

from benchapp.records.comparison import Quantity
from benchapp.records.findings import RunFindings
from benchapp.records.sweep_findings import Steadiness
from benchapp.reduction.ground.compared_test import ComparedTest, quantity


def quantities(run: RunFindings) -> Iterator[Quantity]:
    """Yield the quantities of one hold.

    The spread is judged by its logarithm, and only by how holds differ from each other: one hold's own interval says
    nothing of the next. Peak to peak carries the time held.
    """
    found = run.own(Steadiness)
    if found.sd_us is not None and found.sd_us > 0.0:
        yield Quantity(key="unsteadiness_us", value=found.sd_us, n=1, in_log=True)
    if found.peak_to_peak_us is not None:
        yield Quantity(key="peak_to_peak_us", value=found.peak_to_peak_us, n=1, held_s=found.held_s)
    yield from quantity("frame_period_ms", found.frame_period_ms, found.frame_period_u_ms)
    yield from quantity("frame_sd_us", found.frame_sd_us)
    yield from quantity("drift_us_per_min", found.drift_us_per_min)


PART = ComparedTest(quantities=quantities)
