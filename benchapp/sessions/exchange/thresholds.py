"""Volts turned into edges where they cross a threshold."""

import itertools
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from benchapp.records.errors import WrongCall
from benchapp.records.stream import Edges, Gap, Levels, frozen_array
from benchapp.sessions.exchange.capture import Capture, CaptureLead
from benchapp.sessions.exchange.choose import find_lead
from benchapp.sessions.exchange.decimals import float_of
from benchapp.sessions.exchange.refusal import shown


@dataclass(frozen=True, kw_only=True, slots=True)
class Threshold:
    """A level, and the full width of the band round it that must be left before a crossing counts."""

    volts: float
    hysteresis_v: float = 0.0


def threshold_named(text: str) -> tuple[str, Threshold]:
    """Return the lead's name and its threshold from LEAD=V or LEAD=V,HYST. Raises WrongCall."""
    name, equals, numbers = text.rpartition("=")
    values = [float_of(part.strip().encode("utf-8", "replace")) for part in numbers.split(",")]
    volts, hysteresis = (*values, 0.0)[:2]
    if not name or not equals or len(values) > 2 or volts is None or hysteresis is None or hysteresis < 0:
        raise WrongCall(
            f"Expected a threshold as LEAD=VOLTS or LEAD=VOLTS,HYSTERESIS with a decimal point, got {shown(text)}."
        )
    return name, Threshold(volts=volts, hysteresis_v=hysteresis)


def thresholded(capture: Capture, thresholds: Mapping[str, Threshold]) -> Capture:
    """Return the capture with the named leads of volts turned into on-off leads.

    Raises WrongCall for an unknown name and for a lead that is on-off already.
    """
    leads = list(capture.leads)
    for name, threshold in thresholds.items():
        place = find_lead(capture, name)
        lead = leads[place]
        if lead.levels is None:
            raise WrongCall(f"{shown(name)} is an on-off lead already; a threshold is for a lead in volts.")
        leads[place] = _switched(lead, lead.levels, threshold)
    return replace(capture, leads=tuple(leads))


def _switched(lead: CaptureLead, levels: Levels, threshold: Threshold) -> CaptureLead:
    volts = np.asarray(levels.values, dtype=np.float64)
    times, states = levels.times_ns, []
    pieces = []
    for low, high in _unbroken(times, lead.gaps):
        seen, first = crossings(times[low:high], volts[low:high], threshold)
        pieces.append(seen)
        states.append(first)
    stamps = np.concatenate([stamp for stamp, _ in pieces]) if pieces else np.empty(0, dtype=np.int64)
    after = np.concatenate([level for _, level in pieces]) if pieces else np.empty(0, dtype=np.uint8)
    edges = Edges(
        lead=levels.lead,
        times_ns=frozen_array(stamps),
        levels=frozen_array(after),
        flags=frozen_array(np.zeros(stamps.size, dtype=np.uint8)),
    )
    return replace(lead, edges=edges, levels=None, initial=next((state for state in states if state is not None), None))


def _unbroken(times: NDArray[np.int64], gaps: tuple[Gap, ...]) -> list[tuple[int, int]]:
    """Return the index ranges of the samples between gaps."""
    cuts = [0, *(int(np.searchsorted(times, gap.to_ns)) for gap in gaps), times.size]
    return [(low, high) for low, high in itertools.pairwise(cuts) if high > low]


def crossings(
    times_ns: NDArray[np.int64], volts: NDArray[np.float64], threshold: Threshold
) -> tuple[tuple[NDArray[np.int64], NDArray[np.uint8]], int | None]:
    """Return the stamps and levels of the edges, and the first state (None if the band is never left).

    The state turns to 1 at the sample that reaches V + HYST/2 and to 0 at the one that falls to V − HYST/2 (without
    hysteresis: to 1 at V or above, to 0 below). The band only decides whether a crossing counts: the stamp is where
    the straight line between two samples last passed V itself on the way, so that a rise and a fall are stamped
    at the same level and a wide band delays nothing. Nearest ns.
    """
    half = threshold.hysteresis_v / 2
    above = volts >= threshold.volts
    high = volts >= threshold.volts + half
    low = volts <= threshold.volts - half if half else ~above
    decided = np.flatnonzero(high | low)
    if not decided.size:
        return (np.empty(0, dtype=np.int64), np.empty(0, dtype=np.uint8)), None
    states = high[decided].astype(np.uint8)
    turns = np.flatnonzero(states[1:] != states[:-1]) + 1
    trips, after = decided[turns], states[turns]
    # A fall that ends exactly on V − 0 cannot happen without hysteresis; with it, V itself counts as above.
    passes = np.flatnonzero(above[1:] != above[:-1]) + 1
    stamps = np.empty(trips.size, dtype=np.int64)
    for level in (0, 1):
        wanted = after == level
        that_way = passes[above[passes] == bool(level)]
        ends = that_way[np.searchsorted(that_way, trips[wanted], side="right") - 1]
        stamps[wanted] = _passed_at(times_ns, volts, ends, threshold.volts)
    return (stamps, after), int(states[0])


def _passed_at(
    times_ns: NDArray[np.int64], volts: NDArray[np.float64], ends: NDArray[np.int64], level: float
) -> NDArray[np.int64]:
    before, behind = volts[ends - 1], volts[ends]
    part = (level - before) / (behind - before)
    step = times_ns[ends] - times_ns[ends - 1]
    return times_ns[ends - 1] + np.rint(part * step).astype(np.int64)
