"""The figures of a sweep as rows, each in µs and in % of output span, with how sure it is and what it means."""

from dataclasses import dataclass

from benchapp.presentation.ground.numbers import DASH, NBSP, at_places, exists, span, uncertainty_places
from benchapp.presentation.ground.stick_facts import (
    AT_MOST,
    hysteresis_half_width_pct,
    off_cubic_words,
    signed_words,
    straight_words,
)
from benchapp.presentation.ground.stick_reasons import missing_figures
from benchapp.records.sweep_findings import CurveLine, Linearity
from benchapp.reduction.sweep.linearity import RESOLVED

RESOLVED_U = RESOLVED


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
    lines = []
    for key, name in _LINES.items():
        line = found.lines.get(key)
        lines.append(
            SweepRow(
                name=name,
                us=None if line is None else line.deviation_us,
                pct=None if line is None else line.deviation_pct,
                at_x=None if line is None else line.at_x,
                sure="" if line is None else _sure(line),
                why=why.get(f"{key}_pct", ""),
            )
        )
    half = hysteresis_half_width_pct(found)
    return (
        *lines,
        SweepRow(
            name="Off a smooth curve (best cubic)",
            us=found.cubic_us,
            pct=found.cubic_pct,
            sure=_given(off_cubic_words(found)) + ("; as an expo setting gives" if found.smooth_curve else ""),
            why=why.get("cubic_pct", ""),
        ),
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
            sure="" if half is None else _given(signed_words(found.fitted_hysteresis_pct, half)),
            why=why.get("fitted_hysteresis_pct", ""),
        ),
        SweepRow(
            name="Repeatability, from the same side",
            us=found.repeatability_us,
            pct=found.repeatability_pct,
            sure=repeats_words(found),
            why=why.get("repeatability_pct", ""),
        ),
        SweepRow(
            name="Largest spread from the same side",
            us=found.spread_us,
            pct=found.spread_pct,
            at_x=found.spread_at_x,
            sure="the probe's share in it" if exists(found.spread_us) else "",
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


def row_places(found: Linearity) -> tuple[int, int]:
    """Return the decimals of the rows' sizes, in µs and in %: one more than the give or take of straightness has.

    2 and 3 where that is finer still, or where there is none.
    """
    u_pct = found.expanded_uncertainty_pct
    if not exists(u_pct) or not exists(found.span_us) or u_pct <= 0.0:
        return _MOST_US, _MOST_PCT
    us, pct = (max(uncertainty_places(u) + 1, 0) for u in (u_pct * found.span_us / 100.0, u_pct))
    return min(us, _MOST_US), min(pct, _MOST_PCT)


_MOST_US, _MOST_PCT = 2, 3
_LINES = {
    "independent": "Straightness (best line)",
    "terminal": "Straightness (end to end)",
    "zero_based": "Straightness (from the low end)",
}


def repeats_words(found: Linearity) -> str:
    """Return between what the repeatability lies, or that it does not stand above the probe's own; "" without one."""
    if found.repeatability_ci95_pct is None:
        return ""
    low, high = found.repeatability_ci95_pct
    if high == 0.0:
        return "not above the probe's own and the pulses' noise"
    places = max(uncertainty_places(high), 0)
    if not found.repeatability_resolved:
        return f"not above the probe's own and the pulses' noise: at most {at_places(high, places)}{NBSP}%"
    return f"95{NBSP}% sure: {span(low, high, places, '%')}"


def _sure(line: CurveLine) -> str:
    return _given(straight_words(line))


def _given(words: str) -> str:
    """Return the words without the value before them, which has a column of its own."""
    return words if words.startswith(AT_MOST) else words.partition(", ")[2]


def _resolved(size: float | None, resolved: bool | None) -> str:
    if not exists(size):
        return ""
    if resolved is None:
        return f"{DASH} one reading only"
    return "stands out of the noise" if resolved else "not resolved: may be noise alone"
