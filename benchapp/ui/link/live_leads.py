"""What has arrived on every lead lately: the rings behind the lanes, filled from the feed."""

from collections.abc import Iterable
from dataclasses import dataclass, field

import numpy as np

from benchapp.acquisition.feed import FeedItem, Missed
from benchapp.records.leads import Lead, LeadKind, Stretch
from benchapp.records.stream import ClockPairs, Edges, Gap, Levels
from benchapp.waveforms.rings import Ring
from benchapp.waveforms.volts import volts

LONGEST_WINDOW_S = 10.0
_SPARE_S = 2.0
_KEEP_NS = int((LONGEST_WINDOW_S + _SPARE_S) * 1e9)


@dataclass(kw_only=True, slots=True, eq=False)
class LiveLead:
    """One lead's ring and the spans in which records may be missing."""

    lead: Lead
    edges: Ring[np.uint8] = field(default_factory=lambda: Ring(np.uint8, keep_ns=_KEEP_NS))
    volts: Ring[np.float64] = field(default_factory=lambda: Ring(np.float64, keep_ns=_KEEP_NS))
    gaps: list[Gap] = field(default_factory=list)

    def copy(self) -> "LiveLead":
        """Return this lead as it is now; what arrives later changes nothing of it."""
        return LiveLead(lead=self.lead, edges=self.edges.copy(), volts=self.volts.copy(), gaps=list(self.gaps))

    def recent_edges(self, *, from_ns: int, to_ns: int | None = None, most: int = 20_000) -> Edges:
        """Return the newest edges since from_ns, up to to_ns, at most that many."""
        times = self.edges.times_ns
        last = times.size if to_ns is None else int(np.searchsorted(times, to_ns, side="right"))
        first = min(max(int(np.searchsorted(times, from_ns)), last - most), last)
        times = times[first:last]
        return Edges(
            lead=self.lead.index,
            times_ns=times,
            levels=self.edges.values[first:last],
            flags=np.zeros(times.size, dtype=np.uint8),
        )


class LiveLeads:
    """The leads of the stretch that is open, in the order of their numbers."""

    def __init__(self) -> None:
        self.leads: dict[int, LiveLead] = {}
        self.stretch = 0
        self.known_from_ns = 0
        self.newest_ns = 0

    def take(self, items: Iterable[FeedItem]) -> bool:
        """Add what the feed brought; return whether there was anything to show."""
        anything = False
        for item in items:
            anything = True
            match item:
                case Stretch():
                    self._open(item)
                case Edges() if item.count:
                    self._edges(item)
                case Levels() if item.count:
                    self._levels(item)
                case Gap():
                    self._gap(item)
                case ClockPairs() if item.probe_ns.size:
                    self.newest_ns = max(self.newest_ns, int(item.probe_ns[-1]))
                case Missed():
                    self._gap(Gap(leads=(), from_ns=self.newest_ns, to_ns=self.newest_ns, cause="not shown here"))
                case _:
                    pass
        return anything

    def _open(self, stretch: Stretch) -> None:
        self.stretch = stretch.number
        self.leads = {lead.index: LiveLead(lead=lead) for lead in stretch.leads}
        self.known_from_ns = self.newest_ns = stretch.origin_ns

    def _edges(self, edges: Edges) -> None:
        live = self.leads.get(edges.lead)
        if live is not None:
            live.edges.append(edges.times_ns, edges.levels)
            self.newest_ns = max(self.newest_ns, int(edges.times_ns[-1]))

    def _levels(self, levels: Levels) -> None:
        live = self.leads.get(levels.lead)
        if live is not None:
            live.volts.append(levels.times_ns, volts(levels, live.lead))
            self.newest_ns = max(self.newest_ns, int(levels.times_ns[-1]))

    def _gap(self, gap: Gap) -> None:
        for index in gap.leads or self.leads:
            live = self.leads.get(index)
            if live is not None:
                live.gaps = [g for g in live.gaps if g.to_ns > self.newest_ns - _KEEP_NS]
                live.gaps.append(gap)

    def copy(self) -> "LiveLeads":
        """Return everything as it is now, to be looked at while more arrives."""
        copied = LiveLeads()
        copied.leads = {index: live.copy() for index, live in self.leads.items()}
        copied.stretch, copied.known_from_ns, copied.newest_ns = self.stretch, self.known_from_ns, self.newest_ns
        return copied

    @property
    def oldest_ns(self) -> int:
        """The earliest moment that can be shown."""
        return max(self.known_from_ns, self.newest_ns - _KEEP_NS)

    def shown(self) -> list[LiveLead]:
        """Return the leads that have something to draw: whatever listens, and drives that stamp their own edges."""
        return [
            live
            for _, live in sorted(self.leads.items())
            if live.lead.kind is not LeadKind.DRIVE or live.edges.times_ns.size
        ]
