"""Numbers as a findings document holds them: milliseconds to 6 decimals, seconds to 9, null for what is no number."""

import math
from typing import Any

from numpy.typing import NDArray

from benchapp.records.events import Json
from benchapp.records.findings import BudgetLine
from benchapp.records.sweep_findings import DistinctValues


def number(value: float | None) -> float | None:
    """Return the number itself, unrounded (a small share would lose its digits); None where there is none."""
    return float(value) if value is not None and math.isfinite(value) else None


def milliseconds(value: float | None) -> float | None:
    """Return milliseconds to 6 decimals; None where there are none."""
    found = number(value)
    return None if found is None else round(found, 6)


def seconds(value: float | None) -> float | None:
    """Return seconds to 9 decimals; None where there are none."""
    found = number(value)
    return None if found is None else round(found, 9)


def at_seconds(at_ns: int) -> float:
    """Return an instant on the session's clock in seconds to 9 decimals."""
    return round(at_ns / 1_000_000_000, 9)


def listed(values: NDArray[Any] | None) -> Json:
    """Return an array as a list, None for every entry that is no number; None where there is no array."""
    return None if values is None else [number(value) for value in values.tolist()]


def interval(ends: tuple[float | None, float | None] | None) -> Json:
    """Return both ends of an interval, None where there is none or an end is missing."""
    if ends is None or ends[0] is None or ends[1] is None:
        return None
    return [number(ends[0]), number(ends[1])]


def budget_line(line: BudgetLine) -> dict[str, Json]:
    """Return one line of an uncertainty budget."""
    dof = number(line.dof)
    return {"source": line.source, "standard_ms": milliseconds(line.standard_ms), "type": line.kind, "dof": dof}


def tally(values: DistinctValues) -> dict[str, Json]:
    """Return the values that came and how often each."""
    return {"us": listed(values.us), "counts": [int(count) for count in values.counts.tolist()]}
