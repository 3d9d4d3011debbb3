"""How much a session may say it holds: a small file that unpacks to days of edges was never recorded.

A reader that believed any count would spend minutes and gigabytes on a file of a few hundred kilobytes. What a writer
makes stays far below: one hour of a switch, an eight-channel train, an output and a stick sampled 1,000 times a second
is 6.8 million records, 1 to 2 a byte of file; the most regular practice trains reach 40 a byte of packed data.
"""

from collections.abc import Sequence
from pathlib import Path

from benchapp.records.errors import DamagedEvidence
from benchapp.sessions.blocks import MOST_GAP_TEXT, BlockKind
from benchapp.sessions.naming import shown_name
from benchapp.sessions.reading import Row

RECORDS_ANYWAY = 8_000_000
"""Records that even the smallest file may hold: more than an hour of every lead."""
RECORDS_A_BYTE = 16
GAP_TEXT_ANYWAY = 4 * MOST_GAP_TEXT
GAP_TEXT_A_BYTE = 16
MOST_RUNS = 1_000
"""Runs of one session: a bench that worked all day without a new session makes a hundred."""
MOST_OVERLAP = 2
"""Runs follow one another; together they last at most so many times as long as the time they lie in."""
_ROW_BYTES = 64  # the cells of a block's row beside its data


def refuse_overfull(blocks: Sequence[Row], path: Path) -> None:
    """Raise DamagedEvidence where the rows of blocks say they hold more records or gaps than such a file can."""
    records = text = stored = 0
    for row in blocks:
        kind, count, data = row[2], row[7], row[10]
        if type(count) is not int or type(data) is not bytes:
            continue
        stored += len(data) + _ROW_BYTES
        if kind == BlockKind.GAPS:
            text += int.from_bytes(data[:4], "little")
        else:
            records += max(count, 0)
    _refuse_beyond(path, "records", records, stored, RECORDS_ANYWAY + RECORDS_A_BYTE * stored)
    _refuse_beyond(path, "bytes of gaps", text, stored, GAP_TEXT_ANYWAY + GAP_TEXT_A_BYTE * stored)


def _refuse_beyond(path: Path, what: str, found: int, stored: int, most: int) -> None:
    if found > most:
        raise DamagedEvidence(
            f"{shown_name(path)} is not made as a session is: its blocks say they hold {found:,} {what} in {stored:,} "
            f"bytes, more than any recording. Nothing of it was unpacked."
        )


def refuse_too_many_runs(spans_ns: Sequence[tuple[int, int]], path: Path) -> None:
    """Raise DamagedEvidence for more runs than a session can hold, or runs that lie over one another.

    spans_ns : first and last moment of each run [ns]
    """
    if len(spans_ns) > MOST_RUNS:
        raise DamagedEvidence(
            f"{shown_name(path)} is not made as a session is: it says it holds {len(spans_ns):,} runs; wanted up to "
            f"{MOST_RUNS:,}. Nothing of it was reduced."
        )
    together, covered = sum(max(0, stop - start) for start, stop in spans_ns), _covered_ns(spans_ns)
    if together > MOST_OVERLAP * covered:
        raise DamagedEvidence(
            f"{shown_name(path)} is not made as a session is: its {len(spans_ns):,} runs last {together / 1e9:,.0f} s "
            f"and lie within {covered / 1e9:,.0f} s. Runs follow one another. Nothing of it was reduced."
        )


def _covered_ns(spans_ns: Sequence[tuple[int, int]]) -> int:
    """Return how much time lies in at least one of the spans, [ns]."""
    covered, end_ns = 0, None
    for start, stop in sorted(spans_ns):
        begin = start if end_ns is None else max(start, end_ns)
        covered += max(0, stop - begin)
        end_ns = max(begin, stop)
    return covered
