"""Whether everything the probe sent has arrived, and what is known of what has not."""

from enum import StrEnum

from benchapp.probe.messages import Damage, Heartbeat
from benchapp.records.stream import Gap

_U16, _U32 = 0xFFFF, 0xFFFF_FFFF


class GapCause(StrEnum):
    """Why records may be missing; the causes of damage are those of `messages.DamageCause`."""

    RECORDS_MISSING = "records-missing"
    BOARD_LOST = "board-lost"
    FOLDED = "folded"
    SAMPLES_LOST = "samples-lost"
    SAMPLES_MISSING = "samples-missing"
    MUTED = "muted"
    OUT_OF_ORDER = "out-of-order"
    UNKNOWN_LEAD = "unknown-lead"
    RESTART = "restart"


class Account:
    """Compares what the heartbeats say was sent with what came, over one stretch.

    Only gaps found here and out-of-order ones carry counts, so the counts of all gaps add up to the records missed.
    """

    def __init__(self, at_ns: int, first: Heartbeat | None = None) -> None:
        """Begin at a start command, whose counters are 0, or at a first heartbeat."""
        self._received = 0
        self._beat_ns = self._newest_ns = at_ns
        self._floor_ns = at_ns
        self._sent, self._lost, self._folded, self._level_lost = (
            (first.records_sent, first.lost, first.folded, first.level_lost) if first else (0, 0, 0, 0)
        )
        self._open: tuple[int, str] | None = None
        self._spans: tuple[int, int] | None = None

    def received(self, count: int, newest_ns: int | None = None) -> None:
        """Count records that came in good frames; newest_ns is the latest edge among them."""
        self._received += count
        if newest_ns is not None:
            self._newest_ns = max(self._newest_ns, newest_ns)

    def damaged(self, damage: Damage, slack_ns: int) -> None:
        """Note that something is missing from the newest edge on, less the largest bias of any lead."""
        # Edges leave the board in order of time, so a lost one is no older than the newest that came.
        if self._open is None:
            self._open = (self._newest_ns - slack_ns, damage.cause)

    def seen(self, at_ns: int) -> list[Gap]:
        """Return the gap that ends at this edge or heartbeat, if one was open."""
        if self._open is None:
            return []
        from_ns, cause = min(self._open[0], at_ns), self._open[1]
        self._open = None
        start, end = self._spans or (from_ns, at_ns)
        self._spans = (min(start, from_ns), max(end, at_ns))
        return [Gap(leads=(), from_ns=from_ns, to_ns=at_ns, cause=cause)]

    def beat(self, beat: Heartbeat, at_ns: int) -> list[Gap]:
        """Return a gap for each way in which this heartbeat's counters show records missing since the last."""
        gaps = [*self._missing(beat, at_ns), *self._board_losses(beat, at_ns), *self._muted(beat, at_ns)]
        self._received, self._sent = 0, beat.records_sent
        self._lost, self._folded, self._level_lost = beat.lost, beat.folded, beat.level_lost
        self._beat_ns, self._floor_ns, self._spans = at_ns, min(at_ns, self._newest_ns), None
        return gaps

    def _missing(self, beat: Heartbeat, at_ns: int) -> list[Gap]:
        short = ((beat.records_sent - self._sent) & _U32) - self._received
        if short == 0:
            return []
        start, end = self._spans or (self._floor_ns, at_ns)
        # More records than were sent cannot be: the counters do not tell, so neither does the gap.
        count = short if short > 0 else None
        return [Gap(leads=(), from_ns=start, to_ns=end, cause=GapCause.RECORDS_MISSING, count=count)]

    def _board_losses(self, beat: Heartbeat, at_ns: int) -> list[Gap]:
        counted = (
            (GapCause.BOARD_LOST, beat.lost - self._lost),
            (GapCause.FOLDED, beat.folded - self._folded),
            (GapCause.SAMPLES_LOST, beat.level_lost - self._level_lost),
        )
        return [
            Gap(leads=(), from_ns=self._floor_ns, to_ns=at_ns, cause=cause, count=count & _U16)
            for cause, count in counted
            if count & _U16
        ]

    def _muted(self, beat: Heartbeat, at_ns: int) -> list[Gap]:
        leads = tuple(lead for lead in range(16) if beat.muted >> lead & 1)
        return [Gap(leads=leads, from_ns=self._beat_ns, to_ns=at_ns, cause=GapCause.MUTED)] if leads else []
