"""Whether there are enough flips for a figure."""

from benchapp.presentation.numbers import exists
from benchapp.records.findings import Latency

FEWEST_ANSWERED = 20


def has_figure(latency: Latency) -> bool:
    """Return whether enough flips were answered for a figure, and there is one."""
    return len(latency.trials) >= FEWEST_ANSWERED and exists(latency.headline.value_ms)
