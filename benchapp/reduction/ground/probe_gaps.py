"""What the probe missed, told from what its file lost later."""

from collections.abc import Iterable

from benchapp.records.stream import FILE_CAUSES, Gap


def missed_by_probe(gaps: Iterable[Gap], from_ns: int, to_ns: int) -> bool:
    """Return whether the probe, or the way from it, lost records between two stamps [ns]."""
    return any(gap.to_ns >= from_ns and gap.from_ns <= to_ns for gap in gaps if gap.cause not in FILE_CAUSES)
