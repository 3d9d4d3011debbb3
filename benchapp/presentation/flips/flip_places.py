"""How many decimals the delays of a run of flips are shown with: those that its give or take leaves a meaning."""

from benchapp.presentation.ground.numbers import exists, interval_places, uncertainty_places
from benchapp.records.findings import Latency

_MOST = 4


def figure_places(latency: Latency) -> int:
    """Return the decimals of the figure: its give or take has two digits, and delays in sentences end where it does."""
    return uncertainty_places(latency.headline.expanded_uncertainty_ms)


def table_places(latency: Latency) -> int:
    """Return the decimals of a delay in a table: one more than the figure's, from 0 to 4.

    A table is there to compare its own lines, which the last digit shown is to leave apart. Where there is no give or
    take there is no further digit either.
    """
    finer = exists(latency.headline.expanded_uncertainty_ms)
    return min(max(figure_places(latency) + finer, 0), _MOST)


def interval_decimals(latency: Latency) -> int:
    """Return the decimals of the interval from the flips alone: two digits of its own, no more than a table's."""
    return min(interval_places(latency.headline.ci95_ms), table_places(latency))
