"""A lead in short: pulses and their rate, a train, a switch, volts; by the same functions that make the findings."""

import numpy as np

from benchapp.presentation.live.lead_sentences import LeadSummary, Seen
from benchapp.records.leads import LeadKind
from benchapp.records.run import Polarity
from benchapp.records.stream import Edges
from benchapp.ui.link.live_leads import LiveLead
from benchapp.waveforms.flips import contact_flips
from benchapp.waveforms.line_kind import LineKind, line_kind
from benchapp.waveforms.pulses import frame_facts, servo_pulses
from benchapp.waveforms.ragged import chatters, raggedness
from benchapp.waveforms.trains import pulse_train

SPAN_NS = 2_000_000_000
"""How much of the past one sentence sums up."""
_MORE_THAN_A_HAND = 60
_CONTROLS = frozenset({"switch", "drive"})


def lead_summary(
    live: LiveLead, *, role: str, newest_ns: int, polarity: Polarity = Polarity.FIND, view_ns: int = SPAN_NS
) -> LeadSummary:
    """Return the facts of a lead's two seconds before newest_ns, for one sentence.

    polarity is what was said of its pulses. Changes of a control are those of the time in view, view_ns long: as many
    as its lane draws.
    """
    kind = live.lead.kind
    if kind is LeadKind.LEVEL:
        return _volts_summary(live, role)
    edges = live.recent_edges(from_ns=newest_ns - SPAN_NS, to_ns=newest_ns)
    if role in _CONTROLS and not _carries_pulses(edges):
        edges = live.recent_edges(from_ns=newest_ns - view_ns, to_ns=newest_ns)
    if edges.count == 0:
        values = live.edges.values
        if values.size == 0:
            return LeadSummary(kind=kind, role=role, seen=Seen.NOTHING)
        passed = int(np.searchsorted(live.edges.times_ns, newest_ns, side="right"))
        high = bool(values[passed - 1]) if passed else not bool(values[0])
        return LeadSummary(kind=kind, role=role, seen=Seen.STEADY, high=high, changes=int(values.size))
    if role in _CONTROLS and not _carries_pulses(edges):
        return _control_summary(edges, kind, role)
    return _signal_summary(live, edges, role, polarity)


def _carries_pulses(edges: Edges) -> bool:
    """Return whether a control's lead carries servo pulses or a train: too many edges for a hand, in their shape."""
    return edges.count >= _MORE_THAN_A_HAND and line_kind(edges) in {LineKind.SERVO, LineKind.TRAIN}


def _control_summary(edges: Edges, kind: LeadKind, role: str) -> LeadSummary:
    flips = contact_flips(edges)
    seen = Seen.STROBE if flips.strobed else Seen.CHANGES
    return LeadSummary(kind=kind, role=role, seen=seen, changes=flips.count, high=bool(edges.levels[-1]))


def _signal_summary(live: LiveLead, edges: Edges, role: str, polarity: Polarity) -> LeadSummary:
    kind = live.lead.kind
    found = line_kind(edges, live.gaps)
    if found is LineKind.SERIAL and chatters(edges, live.gaps, polarity=polarity):
        found = LineKind.SERVO
    match found:
        case LineKind.SERIAL:
            return LeadSummary(kind=kind, role=role, seen=Seen.SERIAL)
        case LineKind.TRAIN:
            train = pulse_train(edges, live.gaps)
            if train is not None:
                rate_hz = 1e9 / train.period_ns
                return LeadSummary(kind=kind, role=role, seen=Seen.TRAIN, rate_hz=rate_hz, channels=train.channels)
        case LineKind.SERVO:
            pulses = servo_pulses(edges, live.gaps, polarity=polarity)
            frame = frame_facts(pulses)
            if pulses.count and frame is not None:
                return LeadSummary(
                    kind=kind,
                    role=role,
                    seen=Seen.PULSES,
                    rate_hz=1e9 / frame.period_ns,
                    pulse_ms=float(pulses.durations_ns[-1]) / 1e6,
                    ragged=raggedness(edges, live.gaps, polarity=polarity).ragged,
                    guessed=pulses.guessed,
                )
        case _:
            pass
    return LeadSummary(kind=kind, role=role, seen=Seen.CHANGES, changes=edges.count, high=bool(edges.levels[-1]))


def _volts_summary(live: LiveLead, role: str) -> LeadSummary:
    first = int(np.searchsorted(live.volts.times_ns, live.volts.times_ns[-1:] - SPAN_NS)[0]) if _has_volts(live) else 0
    recent = live.volts.values[first:]
    if recent.size == 0:
        return LeadSummary(kind=live.lead.kind, role=role, seen=Seen.NOTHING)
    return LeadSummary(
        kind=live.lead.kind,
        role=role,
        seen=Seen.VOLTS,
        volts=float(recent[-1]),
        lowest_v=float(recent.min()),
        highest_v=float(recent.max()),
    )


def _has_volts(live: LiveLead) -> bool:
    return bool(live.volts.times_ns.size)
