"""Numbers as a findings document holds them: milliseconds to 6 decimals, seconds to 9, null for what is no number."""

import math
from typing import Any

from numpy.typing import NDArray

from benchapp.records.events import Json


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
