"""A hold's table: every position held."""

from collections.abc import Iterator

from benchapp.records.sweep_findings import Steadiness
from benchapp.report.csv_cells import number_text, seconds_text
from benchapp.report.filed_test import Row

HELD_COLUMNS = (
    "position", "from_s", "to_s", "stick_v", "pulses", "median_us", "sd_us", "peak_to_peak_us",
    "drift_us_per_min", "drift_u_us_per_min", "drift_resolved", "held_s",
)  # fmt: skip
"""One row a position of a hold."""


def held_rows(found: Steadiness) -> Iterator[Row]:
    """Yield the cells of every position that was held, in the order of time."""
    for number, position in enumerate(found.positions, start=1):
        yield (
            str(number),
            seconds_text(position.from_ns),
            seconds_text(position.to_ns),
            number_text(position.at_x),
            str(position.pulses),
            number_text(position.median_us),
            number_text(position.sd_us),
            number_text(position.peak_to_peak_us),
            number_text(position.drift_us_per_min),
            number_text(position.drift_u_us_per_min),
            {True: "yes", False: "no", None: ""}[position.drift_resolved],
            number_text(position.held_s),
        )
