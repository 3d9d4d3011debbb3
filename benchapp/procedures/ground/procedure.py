"""What every named test's machine offers to the recording."""

from collections.abc import Sequence
from typing import Protocol

from benchapp.procedures.ground.drive_request import DriveRequest
from benchapp.procedures.ground.moments import Seen
from benchapp.procedures.ground.progress import RunProgress, StopReason
from benchapp.records.events import Event
from benchapp.records.stream import Record


class Procedure(Protocol):
    """A named test's run as a machine: told the time, it never waits; its events do not hang on how records are cut."""

    @property
    def ended(self) -> bool:
        """Whether the run is over."""

    @property
    def waits_for_figure(self) -> bool:
        """Whether nothing more happens in the run before its figure has been worked out."""

    def see(self, records: Sequence[Record], now_ns: int) -> list[Event]:
        """Return the events that these records and the time brought."""

    def ask(self, seen: Seen, now_ns: int) -> None:
        """Note a person's wish; it takes its turn among the records."""

    def drop(self, now_ns: int, flip_ns: int | None = None) -> list[Event]:
        """Return the event that leaves one flip or stop out: the last one, or the one named."""

    def undrop(self, now_ns: int, flip_ns: int | None = None) -> list[Event]:
        """Return the event that takes a drop back: the last one, or the one named."""

    def finish(self, reason: StopReason, at_ns: int) -> list[Event]:
        """Return the events that end the run at once, everything seen so far kept."""

    def flip_request(self) -> DriveRequest | None:
        """Return the next flip the probe is to make, once; None when none is due."""

    def power_requests(self) -> Sequence[DriveRequest]:
        """Return what the probe is to do so that the transmitter goes off and on; nothing where none is due."""

    def progress(self) -> RunProgress:
        """Return the run as it stands."""
