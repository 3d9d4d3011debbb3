"""The lines around the last flip, taken out of what has arrived lately and kept."""

from collections.abc import Mapping

import numpy as np

from benchapp.presentation.live.last_flip import FlipDrawn, flip_drawn
from benchapp.records.flip_seen import FlipSeen
from benchapp.records.run import Polarity
from benchapp.ui.link.live_leads import LiveLead, LiveLeads
from benchapp.waveforms.pulses import servo_pulses, within

AROUND_NS = 1_000_000_000
"""So much before and after a flip is looked at: five frames of 60 ms, an answer window, and some to spare."""
_CONTROLS = ("switch", "stick")


def held_flip(
    live: LiveLeads, roles: Mapping[int, str], polarity: Mapping[int, Polarity], flip: FlipSeen
) -> FlipDrawn | None:
    """Return what is drawn of a flip; None where its leads are gone."""
    leads = {role: live.leads[lead] for lead, role in roles.items() if lead in live.leads}
    control = next((leads[role] for role in _CONTROLS if role in leads), None)
    output = leads.get("output")
    if control is None or output is None:
        return None
    from_ns, to_ns = flip.at_ns - AROUND_NS, flip.at_ns + AROUND_NS
    edges = output.recent_edges(from_ns=from_ns)
    told = polarity.get(output.lead.index, Polarity.FIND)
    pulses = within(servo_pulses(edges, output.gaps, polarity=told), from_ns, to_ns)
    stepped = not control.volts.times_ns.size
    times_ns, heights = _around(control, from_ns, to_ns, stepped=stepped)
    return flip_drawn(flip, control_ns=times_ns, heights=heights, pulses=pulses, stepped=stepped)


def _around(live: LiveLead, from_ns: int, to_ns: int, *, stepped: bool) -> tuple[np.ndarray, np.ndarray]:
    """Return copies of a control's instants and levels or volts between two moments: the rings move on."""
    times = live.edges.times_ns if stepped else live.volts.times_ns
    values = live.edges.values if stepped else live.volts.values
    part = slice(int(np.searchsorted(times, from_ns)), int(np.searchsorted(times, to_ns, side="right")))
    return times[part].copy(), np.asarray(values[part], dtype=np.float64)
