"""The newest flip on the bench, measured as a run measures it: for the picture on Leads, where no run goes on."""

from collections.abc import Mapping, Sequence

import numpy as np

from benchapp.procedures.flips.flip_watch import FlipWatch
from benchapp.procedures.ground.evidence_so_far import joined_edges
from benchapp.records.errors import BenchError
from benchapp.records.flip_seen import FlipSeen, answered, unanswered
from benchapp.records.leads import Lead, LeadKind
from benchapp.records.method import answer_window_ns
from benchapp.records.run import LeadEvidence, Origin, Outcome, PickUp, Polarity, RunEvidence
from benchapp.records.stream import Edges, Gap, Record
from benchapp.reduction.flips.switch_flip import measure, read_lines
from benchapp.waveforms.flips import HOLD_OFF_NS

KEEP_NS = 12_000_000_000
"""Earlier flips tell how long the pulses of each state are, so that a flip without an answer is told from one that
changes nothing."""
MOST_EDGES = 12_000
"""A servo output of 400 Hz has fewer in that time. A lead with more carries no servo pulses: nothing is measured."""
LAG_NS = 30_000_000
PULSES_AFTER = 10
"""After the answer window it waits for what tells the new level, as a run does."""
USUAL_FRAME_NS, SLOWEST_FRAME_NS = 20_000_000, 60_000_000
LONGEST_BURST_NS = 2_000_000_000
"""A control that chatters for longer than this is no switch: what it did up to then is let go."""
_PARTS_LOOKED_AT = 40


class BenchFlips:
    """Watches the switch and the servo output; last : the newest flip measured, None before the first."""

    def __init__(self) -> None:
        self.last: FlipSeen | None = None
        self._leads: dict[str, Lead] = {}
        self._polarity: dict[int, Polarity] = {}
        self._open_ns: int | None = None
        self._forget()

    def begin(self, leads: Sequence[Lead], roles: Mapping[int, str], polarity: Mapping[int, Polarity]) -> None:
        """Begin anew with these leads: another stretch, another lead clipped, another pulse told."""
        on = {roles.get(lead.index, ""): lead for lead in leads if lead.kind is not LeadKind.LEVEL}
        self._leads = {role: on[role] for role in ("switch", "output") if role in on}
        self._polarity = dict(polarity)
        self.last = None
        self._forget()

    def see(self, records: Sequence[Record], now_ns: int) -> None:
        """Take what arrived by now_ns of the session's clock, and measure the flip that is over, if one is."""
        if len(self._leads) < 2:
            return
        flips: list[int] = []
        for record in records:
            if isinstance(record, Gap):
                self._gaps.append(record)
            elif isinstance(record, Edges) and record.count and record.lead in self._edges:
                self._edges[record.lead].append(record)
                if record.lead == self._leads["switch"].index:
                    flips += self._watch.feed(record)
        flips += self._watch.until(now_ns - LAG_NS)
        for flip_ns in flips:
            if self._open_ns is not None:
                self._measure(self._open_ns, flip_ns - 1)
            self._open_ns = flip_ns
        if self._open_ns is not None and now_ns >= self._open_ns + self._settled_after_ns():
            self._measure(self._open_ns, now_ns)
            self._open_ns = None
        self._let_old_ones_go(now_ns)

    def _forget(self) -> None:
        self._watch = FlipWatch(hold_off_ns=HOLD_OFF_NS, from_ns=0)
        self._edges: dict[int, list[Edges]] = {lead.index: [] for lead in self._leads.values()}
        self._gaps: list[Gap] = []
        self._open_ns = None

    def _settled_after_ns(self) -> int:
        """Return how long after a flip its answer and the level after it are there, [ns]."""
        newest = self._edges[self._leads["output"].index][-_PARTS_LOOKED_AT:]
        rising = [part.times_ns[part.levels == 1] for part in newest]
        frames = np.diff(np.concatenate(rising)) if rising else np.empty(0, np.int64)
        period_ns = min(float(np.median(frames)), SLOWEST_FRAME_NS) if frames.size else 0.0
        return round(answer_window_ns(period_ns) + PULSES_AFTER * (period_ns or USUAL_FRAME_NS)) + LAG_NS

    def _let_old_ones_go(self, now_ns: int) -> None:
        since_ns = self._watch.open_since_ns
        if since_ns is not None and now_ns - since_ns > LONGEST_BURST_NS:
            self._watch = FlipWatch(hold_off_ns=HOLD_OFF_NS, from_ns=0)
        for parts in self._edges.values():
            while len(parts) > 1 and parts[0].times_ns[-1] < now_ns - KEEP_NS:
                del parts[0]
            while len(parts) > 1 and sum(part.count for part in parts) > MOST_EDGES:
                del parts[0]
        self._gaps = [gap for gap in self._gaps if gap.to_ns >= now_ns - KEEP_NS]

    def _measure(self, flip_ns: int, stop_ns: int) -> None:
        """Measure the flip at flip_ns as the last one of a run that ends at stop_ns."""
        evidence = self._evidence(stop_ns)
        if evidence is None:
            return
        try:
            found = measure(evidence, read_lines(evidence))
        except BenchError:
            return  # there is nothing to measure on these leads
        seen = [answered(trial) for trial in found.trials[-1:]] + [unanswered(flip) for flip in found.excluded[-1:]]
        self.last = next((flip for flip in seen if abs(flip.at_ns - flip_ns) < HOLD_OFF_NS), self.last)

    def _evidence(self, stop_ns: int) -> RunEvidence | None:
        leads = {role: self._lead(role, lead) for role, lead in self._leads.items()}
        edges = [lead.edges for lead in leads.values() if lead.edges is not None]
        if len(edges) < 2 or any(one.count > MOST_EDGES for one in edges):
            return None
        return RunEvidence(
            run=0,
            test="switch-flip",
            origin=Origin.PROBE,
            pick_up=PickUp.UNKNOWN,
            outcome=Outcome.CUT_SHORT,
            start_ns=min(int(one.times_ns[0]) for one in edges),
            stop_ns=stop_ns,
            leads=leads,
        )

    def _lead(self, role: str, lead: Lead) -> LeadEvidence:
        parts = self._edges[lead.index]
        return LeadEvidence(
            lead=lead,
            role=role,
            edges=joined_edges(parts) if parts else None,
            polarity=self._polarity.get(lead.index, Polarity.FIND),
            gaps=tuple(gap for gap in self._gaps if not gap.leads or lead.index in gap.leads),
        )
