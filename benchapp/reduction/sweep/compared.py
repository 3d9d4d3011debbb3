"""What a sweep of the stick brings along to be compared: straightness, hysteresis, ends, centre and steps."""

from collections.abc import Iterator

from benchapp.records.comparison import Quantity
from benchapp.records.findings import RunFindings
from benchapp.records.sweep_findings import Linearity
from benchapp.reduction.ground.compared_test import ComparedTest, quantity


def quantities(run: RunFindings) -> Iterator[Quantity]:
    """Yield the quantities of one sweep; those that carry no uncertainty of their own are there to be shown."""
    found = run.own(Linearity)
    for key, name in (("straightness_pct", "independent"), ("end_to_end_pct", "terminal")):
        line = found.lines.get(name)
        if line is not None:
            yield from quantity(key, line.deviation_pct, line.expanded_u_pct, k=line.k or 2.0)
    if found.fitted_hysteresis_pct is not None:
        yield Quantity(
            key="fitted_hysteresis_pct",
            value=found.fitted_hysteresis_pct,
            n=1,
            standard=found.fitted_hysteresis_u_pct,
            dof=None if found.fit_dof is None else float(found.fit_dof),
        )
    yield from quantity("hysteresis_pct", found.hysteresis_pct)
    yield from quantity("low_end_us", found.low_us, found.low_u_us)
    yield from quantity("high_end_us", found.high_us, found.high_u_us)
    yield from quantity("centre_offset_us", found.centre_offset_us, found.centre_u_us)
    yield from quantity("dead_band_pct_of_input", found.dead_band_pct_of_input, found.dead_band_u_pct_of_input)
    yield from quantity("centre_flat_pct_of_input", found.centre_flat_pct_of_input, found.centre_flat_u_pct_of_input)
    yield from quantity("step_us", found.step_us)
    yield from quantity("repeatability_us", found.repeatability_us)


def against(run: RunFindings) -> str:
    """Return whether the sweep goes by the stick's voltage or by its angle: the two are never compared."""
    return run.own(Linearity).against


PART = ComparedTest(quantities=quantities, against=against)
