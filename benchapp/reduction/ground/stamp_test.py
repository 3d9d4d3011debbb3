"""How late a lead stamps the edges that the probe itself drove into it."""

import numpy as np
from numpy.typing import NDArray

from benchapp.records.leads import Lead
from benchapp.records.self_test import LeadTest
from benchapp.records.stream import COARSE, Edges

EARLY_NS = 5_000
LATE_NS = 200_000
"""A seen edge belongs to a driven one from so long before to so long after it: far beyond what any lead promises, and
far less than the milliseconds between two driven edges."""


def followed(driven: Edges, seen: Edges) -> NDArray[np.int64]:
    """Return, for each driven edge, the place in seen of the first edge to the same level near it; -1 for none."""
    first = np.searchsorted(seen.times_ns, driven.times_ns - EARLY_NS)
    places = np.full(driven.count, -1, np.int64)
    for n, start in enumerate(first.tolist()):
        for place in range(start, seen.count):
            if seen.times_ns[place] > driven.times_ns[n] + LATE_NS:
                break
            if seen.levels[place] == driven.levels[n]:
                places[n] = place
                break
    return places


def judge_lead(driven: Edges, seen: Edges, *, drive: Lead, lead: Lead) -> LeadTest:
    """Return how a lead stamped the driven edges; every stamp is less the bias of its lead.

    A late stamp of the drive lead makes the other seem early, so both leads' worst lateness and stamp intervals are
    allowed for.
    """
    places = followed(driven, seen)
    found = places >= 0
    late = (seen.times_ns[places[found]] - driven.times_ns[found]).astype(np.float64)
    strays = seen.count - np.unique(places[found]).size
    steps = drive.resolution_ns + lead.resolution_ns
    inside = (late >= -(drive.lateness_worst_ns + steps)) & (late <= lead.lateness_worst_ns + steps)
    enough = late.size >= 2
    return LeadTest(
        index=lead.index,
        label=lead.label,
        driven=driven.count,
        seen=int(found.sum()),
        strays=int(strays),
        mean_ns=float(late.mean()) if enough else None,
        sd_ns=float(late.std(ddof=1)) if enough else None,
        earliest_ns=float(late.min()) if enough else None,
        latest_ns=float(late.max()) if enough else None,
        coarse=int(np.count_nonzero(seen.flags & COARSE)),
        keeps_promise=bool(enough and found.all() and strays == 0 and inside.all()),
    )
