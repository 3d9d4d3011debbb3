"""What is known of the probe and its leads, gathered frame by frame."""

from benchapp.probe.messages import BoardFrame
from benchapp.records.leads import Board, Lead


class Descriptor:
    """The board and its leads; board is set as soon as its own frame came."""

    def __init__(self) -> None:
        self.board: Board | None = None
        self._leads: dict[int, Lead] = {}
        self._count = 0

    @property
    def complete(self) -> bool:
        """Whether the board and every lead it promised came."""
        return self.board is not None and len(self._leads) >= self._count

    @property
    def leads(self) -> tuple[Lead, ...]:
        """The leads so far, by index."""
        return tuple(self._leads[index] for index in sorted(self._leads))

    def begin(self, frame: BoardFrame) -> bool:
        """Take a board's frame; return whether it is another probe, or the same one after a reset."""
        other = self.board is None or self.board.start_id != frame.board.start_id
        if other:
            self.board, self._count, self._leads = frame.board, frame.lead_count, {}
        return other

    def add(self, lead: Lead) -> None:
        """Take one lead's frame; it is ignored once the descriptor is complete."""
        if self.board is not None and not self.complete:
            self._leads[lead.index] = lead

    def matches(self, start_id_low: int) -> bool:
        """Return whether a heartbeat can come from this board since its last reset."""
        return self.board is not None and self.board.start_id & 0xFF == start_id_low
