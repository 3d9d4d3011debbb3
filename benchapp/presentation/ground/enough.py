"""Whether there is enough for a figure: below the minimum a count stands in its place."""

from benchapp.presentation.ground.numbers import NBSP, exists
from benchapp.records.findings import Latency
from benchapp.records.method import FEWEST_ANSWERED


def so_many_of(done: int, needed: int) -> str:
    """Return "15 of 20", to stand large where the figure would."""
    return f"{done}{NBSP}of{NBSP}{needed}"


def has_figure(latency: Latency) -> bool:
    """Return whether enough flips were answered for a figure, and there is one."""
    return len(latency.trials) >= FEWEST_ANSWERED and exists(latency.headline.value_ms)
