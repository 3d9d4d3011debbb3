"""Whether a capture's time axis is likely to be in the unit it was read in."""

from benchapp.sessions.exchange.capture import Capture

LONGEST_EXPECTED_NS = 6 * 3_600_000_000_000
"""Longer than six hours nobody flips or sweeps by hand; a minute in milliseconds read as seconds is nearly 17 hours."""


def unit_doubts(capture: Capture) -> tuple[str, ...]:
    """Return a question about the unit of the time axis where the capture would last longer than a bench is used."""
    span_ns = capture.stop_ns - capture.start_ns
    if span_ns <= LONGEST_EXPECTED_NS:
        return ()
    hours, minutes = divmod(round(span_ns / 60e9), 60)
    return (
        f"This capture lasts {hours:,} h {minutes} min. Are its times in another unit? If they are milliseconds, "
        "import it again and say so: --time time_s:ms with the name of its own time column.",
    )
