"""The transmitter switched off and on by the probe itself, once for each new switch-on.

Only the practice bench has such a lead, "radio power". That it was switched is believed from the lead's own edges
alone, never because it was asked for.
"""

from collections.abc import Sequence

from benchapp.procedures.ground.drive_request import DriveRequest
from benchapp.records.leads import Lead
from benchapp.records.stream import Edges, Record

SOON_NS = 120_000_000
AHEAD_NS = 60_000_000
"""It is switched off this long after the pause began, and never sooner than the probe can be told."""
OFF_NS = 700_000_000
"""How long it stays off: the pulses of a set that falls silent are surely missed by then."""
START_UP_NS = 3_000_000_000
"""How long the transmitter is given to come up; the slowest practice radio needs 2.5 s."""
AGAIN_NS = 1_000_000_000


class PowerCycle:
    """Asks for off and on, asks again where nothing came of it, and tells from the lead's own edges when it is done."""

    def __init__(self, lead: Lead) -> None:
        self._lead = lead.index
        self._begun_ns: int | None = None
        self._asked_ns: int | None = None
        self._off = False
        self._on_ns: int | None = None

    def begin(self, at_ns: int) -> None:
        """Note that the pause for another switch-on began."""
        self._begun_ns, self._asked_ns, self._off, self._on_ns = at_ns, None, False, None

    def end(self) -> None:
        """Note that the pause is over, however it ended."""
        self._begun_ns = None

    def take(self, record: Record) -> None:
        """Follow the edges of the lead that holds the transmitter's power."""
        if self._begun_ns is None or not isinstance(record, Edges) or record.lead != self._lead:
            return
        for at_ns, level in zip(record.times_ns.tolist(), record.levels.tolist(), strict=True):
            if not level:
                self._off = True
            elif self._off and self._on_ns is None:
                self._on_ns = at_ns

    @property
    def carry_on_ns(self) -> int | None:
        """When the run may carry on, None while the transmitter has not been seen switched on again."""
        return None if self._begun_ns is None or self._on_ns is None else self._on_ns + START_UP_NS

    def requests(self, now_ns: int) -> Sequence[DriveRequest]:
        """Return what to ask of the probe now; nothing while what was asked is still to come."""
        if self._begun_ns is None or self._on_ns is not None:
            return ()
        if self._asked_ns is not None and now_ns < self._asked_ns + AGAIN_NS:
            return ()
        off_ns = max(self._begun_ns + SOON_NS, now_ns + AHEAD_NS)
        self._asked_ns = off_ns + OFF_NS
        off = DriveRequest(lead=self._lead, at_ns=off_ns, level=0)
        return off, DriveRequest(lead=self._lead, at_ns=self._asked_ns, level=1)
