"""What every way to reach a probe offers."""

from dataclasses import dataclass
from typing import Protocol

from benchapp.records.run import Origin


@dataclass(frozen=True, kw_only=True, slots=True)
class Arrival:
    """Bytes and the moment by which the last of them had arrived, on the link's own host clock."""

    data: bytes
    host_ns: int


class Link(Protocol):
    """A two-way stream of bytes with a clock of its own.

    The host clock never goes back; it is the computer's for a port and virtual for the practice bench, and it
    moves on while the link is silent. One thread opens, reads, writes and closes.
    Every fault is raised as a ProbeTrouble.
    """

    @property
    def name(self) -> str:
        """What a person calls this link."""

    @property
    def origin(self) -> Origin:
        """Where evidence that comes this way is from."""

    def read(self) -> Arrival:
        """Return the next bytes; none after at most 20 ms of silence."""

    def write(self, data: bytes) -> None:
        """Send the bytes, all of them."""

    def host_ns(self) -> int:
        """Return the host clock [ns]."""

    def close(self) -> None:
        """Let go of the link; closing twice is harmless."""


def stands_still(link: Link) -> bool:
    """Return whether a link's time passes only by reading it, so that nothing is lost while it is not read."""
    return bool(getattr(link, "stands_still", False))
