"""Lines of plain text for a terminal: a label, and what it says beside it."""

from collections.abc import Iterable, Iterator

from benchapp.presentation.ground.numbers import digits, known
from benchapp.presentation.ground.page import Row
from benchapp.records.findings import RunFindings

WIDE = 36
"""How wide the labels of a test with long ones stand, in characters."""
_WIDTH = 22


def text_row(label: str, text: str, *, width: int = _WIDTH) -> str:
    """Return one line, the text in its column."""
    return f"  {label:<{width}} {text}".rstrip()


def detail_lines(run: RunFindings, rows: Iterable[Row]) -> Iterator[str]:
    """Yield rows of details as they stand on the page, then what the output did."""
    yield ""
    yield from (text_row(row.label, row.value, width=WIDE) for row in rows)
    yield from frame_lines(run)


def frame_lines(run: RunFindings) -> Iterator[str]:
    """Yield what the output's frame was; nothing where none was found."""
    frame = run.frame
    if frame is None:
        return
    yield ""
    yield text_row("Frame period", known(frame.period_ms, frame.period_u_ms, "ms"))
    yield text_row("  spread (SD)", digits(frame.period_sd_us, 2, "µs"))
    yield text_row("Missing pulses", str(frame.missing_pulses))
    yield text_row("Spikes", str(frame.glitches))
