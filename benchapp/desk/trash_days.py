"""How long a deleted session has lain in the trash, counted so that no wrong clock ends it.

What is counted is not the time of day but days on which the program was there to see it: a start adds the time since
the one before, a day at most, and nothing where the clock went back. So thirty days are at least thirty days by any
clock that is right, and a clock a year ahead adds one day, once.
"""

from collections.abc import Mapping
from datetime import datetime, timedelta
from pathlib import Path

from benchapp.desk.memory_file import read_memory, write_memory

_FILE, _KIND = "days.json", "benchapp trash days 1"
_MOST_PER_START = timedelta(days=1)


def count_days(trash: Path, folders: frozenset[str], *, now: datetime) -> Mapping[str, float]:
    """Return the days each folder of the trash has lain there, the time since the last count added; kept there.

    A folder that was not counted before begins at 0. Raises DiskTrouble where the count cannot be kept.
    """
    held = read_memory(trash / _FILE, kind=_KIND)
    before = held.get("days")
    known = before if isinstance(before, dict) else {}
    step = max(timedelta(0), min(now - _last(held, now), _MOST_PER_START)) / timedelta(days=1)
    days = {name: _days(known.get(name)) + step if name in known else 0.0 for name in sorted(folders)}
    if folders or held:
        write_memory(trash / _FILE, kind=_KIND, held={"counted": now.isoformat(), "days": days})
    return days


def _days(value: object) -> float:
    """Return days as they were kept; what makes no sense begins anew."""
    return float(value) if isinstance(value, int | float) and 0.0 <= value < 1e6 else 0.0


def _last(held: Mapping[str, object], now: datetime) -> datetime:
    try:
        last = datetime.fromisoformat(str(held.get("counted")))
        return last if last.tzinfo is not None else now
    except ValueError:
        return now
