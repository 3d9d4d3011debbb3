"""The figures of a sweep as rows, each in µs and in % of output span, with how sure it is and what it means."""

from dataclasses import dataclass

from benchapp.presentation.numbers import DASH, NBSP, at_places, exists, uncertainty_places
from benchapp.presentation.stick_reasons import missing_figures
from benchapp.presentation.sweep_facts import hysteresis_half_width_pct
from benchapp.records.sweep_findings import Linearity

RESOLVED_U = 2.5


@dataclass(frozen=True, kw_only=True, slots=True)
class SweepRow:
    """One figure: its name on screen, its size in µs and in % of span, where on the travel, how sure; why: no value."""

    name: str
    us: float | None
    pct: float | None
    at_x: float | None = None
    sure: str = ""
    why: str = ""


def sweep_rows(found: Linearity, notes: tuple[str, ...] = ()) -> tuple[SweepRow, ...]:
    """Return straightness by every line, up against down, repeatability, and the curve's shape."""
    why = missing_figures(found, notes)
    give = found.expanded_uncertainty_pct
    sure = "" if not exists(give) else f"give or take {at_places(give, uncertainty_places(give))}{NBSP}%"
    lines = []
    for key, name in _LINES.items():
        line = found.lines.get(key)
        lines.append(
            SweepRow(
                name=name,
                us=None if line is None else line.deviation_us,
                pct=None if line is None else line.deviation_pct,
                at_x=None if line is None else line.at_x,
                sure=sure if line is not None else "",
                why=why.get(f"{key}_pct", ""),
            )
        )
    half = hysteresis_half_width_pct(found)
    return (
        *lines,
        SweepRow(
            name="Largest difference, up to down",
            us=found.hysteresis_us,
            pct=found.hysteresis_pct,
            at_x=found.hysteresis_at_x,
            sure=_resolved(found.hysteresis_us, found.hysteresis_resolved),
            why=why.get("hysteresis_pct", ""),
        ),
        SweepRow(
            name="Hysteresis fitted with the lag",
            us=found.fitted_hysteresis_us,
            pct=found.fitted_hysteresis_pct,
            sure="" if half is None else f"give or take {at_places(half, uncertainty_places(half))}{NBSP}%",
            why=why.get("fitted_hysteresis_pct", ""),
        ),
        SweepRow(
            name="Largest spread from the same side",
            us=found.repeatability_us,
            pct=found.repeatability_pct,
            sure=_resolved(found.repeatability_us, found.repeatability_resolved),
            why=why.get("repeatability_pct", ""),
        ),
        SweepRow(
            name="Upper half less lower half",
            us=found.symmetry_us,
            pct=found.symmetry_pct,
            why=why.get("symmetry_pct", ""),
        ),
        SweepRow(name="Bow in the middle", us=found.bow_us, pct=found.bow_pct, why=why.get("bow_pct", "")),
    )


_LINES = {
    "independent": "Straightness (best line)",
    "terminal": "Straightness (end to end)",
    "zero_based": "Straightness (from the low end)",
}


def _resolved(size: float | None, resolved: bool | None) -> str:
    if not exists(size):
        return ""
    if resolved is None:
        return f"{DASH} one reading only"
    return "stands out of the noise" if resolved else "not resolved: may be noise alone"
