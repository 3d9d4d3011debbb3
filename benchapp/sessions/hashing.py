"""The evidence hash: one code for everything a reduction may look at, except what was dropped by hand.

Defined to the byte, over what the blocks hold and not over how they are packed, so that a session packed anew, or
written in other commits, keeps its code:

  H(0)     = SHA-256 of the ASCII text "thumb-to-horn evidence 1"
  H(i + 1) = SHA-256 of the 32 bytes of H(i) followed by item i
  the code = "sha256:" and the last H in lower-case hexadecimal

An item is UTF-8 text, its parts joined by single line feeds, whole numbers in decimal digits (with "-" where negative):

  1. for each stretch, by number:
       stretch, number, start id, origin tick, origin ns, tick Hz, descriptors (the text stored in its row)
  2. for each place that has records, by stretch, then kind in alphabetical order (clock, edges, gaps, levels),
     then lead:
       records, stretch, kind, lead, count, SHA-256 of the stamps, SHA-256 of the values (both in hexadecimal)
     in order of their blocks. Stamps are i64 little-endian [ns]. Values: of edges one byte each, level | flags << 1;
     of samples u16 little-endian counts or f64 little-endian volts; of clock pairs i64 little-endian host stamps [ns].
     Of gaps the stamps are each gap's line of JSON [from_ns, to_ns, [lead, …], cause, count or null] (no blanks,
     escaped to ASCII) and a line feed; their values are empty.
  3. for each event of a kind below, in order of the log:
       event, kind, run (empty outside a run), at ns, detail
     run-start, run-stop, pause, resume, stop-taken with their detail (the text stored in its row); marks with an
     empty detail.

Drops, notes, the safety answers, what is on the bench and what was put back are outside, so a copy without them
still has the same code.
"""

from collections.abc import Iterable, Mapping, Sequence
from hashlib import sha256

import numpy as np

from benchapp.records.events import Event, EventKind
from benchapp.records.leads import Stretch
from benchapp.records.stream import Gap
from benchapp.sessions.blocks import Place, Series, gap_line
from benchapp.sessions.texts import detail_text

_START = b"thumb-to-horn evidence 1"
_WITH_DETAIL = (
    EventKind.RUN_START,
    EventKind.RUN_STOP,
    EventKind.PAUSE,
    EventKind.RESUME,
    EventKind.STOP_TAKEN,
)
HASHED_EVENTS = (*_WITH_DETAIL, EventKind.MARK)
"""The kinds of event inside the hash: they are written while recording and never afterwards."""


class PlaceDigest:
    """The running digest of one place's records, fed in their order."""

    __slots__ = ("_stamps", "_values", "count")

    def __init__(self) -> None:
        self.count = 0
        self._stamps = sha256()
        self._values = sha256()

    def feed(self, series: Series) -> None:
        """Hash the next records of this lead and kind."""
        self.count += series.times_ns.size
        self._stamps.update(np.ascontiguousarray(series.times_ns, dtype="<i8").data)
        values = np.ascontiguousarray(series.values)
        self._values.update(values.astype(values.dtype.newbyteorder("<"), copy=False).data)

    def feed_gaps(self, gaps: Iterable[Gap]) -> None:
        """Hash the next gaps."""
        for gap in gaps:
            self.count += 1
            self._stamps.update(gap_line(gap).encode("ascii") + b"\n")

    @property
    def parts(self) -> tuple[str, str, str]:
        """The count and the two digests, as an item holds them."""
        return str(self.count), self._stamps.hexdigest(), self._values.hexdigest()


def _stretch_item(stretch: Stretch, descriptors: str) -> tuple[str, ...]:
    board = stretch.board
    numbers = (stretch.number, board.start_id, stretch.origin_tick, stretch.origin_ns, board.tick_hz)
    return ("stretch", *map(str, numbers), descriptors)


def _event_item(event: Event) -> tuple[str, ...]:
    run = "" if event.run is None else str(event.run)
    detail = detail_text(event) if event.kind in _WITH_DETAIL else ""
    return ("event", event.kind.value, run, str(event.at_ns), detail)


def place_order(place: Place) -> tuple[int, str, int]:
    """Return what places are sorted by: stretch, kind, lead."""
    return place.stretch, place.kind.value, place.lead


def evidence_hash(
    stretches: Sequence[tuple[Stretch, str]], digests: Mapping[Place, PlaceDigest], events: Sequence[Event]
) -> str:
    """Return the code of a session's evidence as this module's text defines it: "sha256:" and 64 hexadecimal digits.

    stretches : each with the text of its descriptors as its row holds it
    """
    items = [_stretch_item(*described) for described in sorted(stretches, key=lambda described: described[0].number)]
    for place in sorted(digests, key=place_order):
        if digests[place].count:
            head = ("records", str(place.stretch), place.kind.value, str(place.lead))
            items.append((*head, *digests[place].parts))
    items += [_event_item(event) for event in events if event.kind in HASHED_EVENTS]
    chain = sha256(_START).digest()
    for item in items:
        chain = sha256(chain + "\n".join(item).encode("utf-8")).digest()
    return f"sha256:{chain.hex()}"
