"""A look into a capture before a session is made of it."""

from dataclasses import dataclass

import numpy as np

from benchapp.desk.importing import ImportOrder, read_capture
from benchapp.records.leads import Board, ClockKind, Lead, LeadKind, Stretch, is_role
from benchapp.records.stream import Edges, Levels, Record
from benchapp.sessions.exchange.capture import Capture, CaptureLead
from benchapp.sessions.exchange.time_unit import unit_doubts
from benchapp.waveforms.line_kind import LineKind, line_kind

SHOWN_NS = 3_000_000_000
_FEW_CHANGES_A_SECOND = 10


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class PreviewLead:
    """One lead of a capture: its name as an import takes it, whether it holds volts, and what it might be clipped to.

    guess is "" where nothing suggests itself; busy says that it changed at all.
    """

    name: str
    lead: Lead
    volts: bool
    guess: str
    busy: bool


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class CapturePreview:
    """What a capture holds, and a few seconds of it to look at. records lie within from_ns to to_ns."""

    leads: tuple[PreviewLead, ...]
    stretch: Stretch
    records: tuple[Record, ...]
    from_ns: int
    to_ns: int
    seconds: float
    remarks: tuple[str, ...]


def preview_capture(order: ImportOrder) -> CapturePreview:
    """Return what a capture holds; roles in the order are not looked at. Raises as import_capture does."""
    capture = read_capture(order)
    from_ns, to_ns = _shown_span(capture)
    guesses = _guesses(capture)
    leads = tuple(_lead(capture, place, guesses.get(place, "")) for place in range(len(capture.leads)))
    board = Board(
        wire_version=0,
        start_id=0,
        tick_hz=1_000_000_000,
        tick_bits=64,
        clock_kind=ClockKind.CAPTURE,
        tolerance_ppm=None,
        serial="",
    )
    stretch = Stretch(number=1, board=board, leads=tuple(lead.lead for lead in leads), origin_tick=0, origin_ns=0)
    return CapturePreview(
        leads=leads,
        stretch=stretch,
        records=tuple(record for lead in capture.leads if (record := _within(lead, from_ns, to_ns)) is not None),
        from_ns=from_ns,
        to_ns=to_ns,
        seconds=(capture.stop_ns - capture.start_ns) / 1e9,
        remarks=(*unit_doubts(capture), *capture.remarks),
    )


def _lead(capture: Capture, place: int, guess: str) -> PreviewLead:
    found = capture.leads[place]
    same = sum(other.name == found.name for other in capture.leads)
    kind = LeadKind.LEVEL if found.edges is None else LeadKind.EDGE
    return PreviewLead(
        name=found.scoped_name if same > 1 else found.name,
        lead=Lead(index=place, label=found.name, kind=kind, role=guess, resolution_ns=capture.tick_ns),
        volts=found.edges is None,
        guess=guess,
        busy=_changes(found) > 0,
    )


def _changes(lead: CaptureLead) -> int:
    if lead.edges is not None:
        return lead.edges.count
    return lead.levels.count if lead.levels is not None else 0


def _shown_span(capture: Capture) -> tuple[int, int]:
    """Return a few seconds round the first change of the quietest on-off lead that changes: most likely a flip."""
    changing = [lead.edges for lead in capture.leads if lead.edges is not None and lead.edges.count]
    at_ns = capture.start_ns
    if changing:
        at_ns = int(min(changing, key=lambda edges: edges.count).times_ns[0])
    from_ns = max(capture.start_ns, min(at_ns - SHOWN_NS // 3, capture.stop_ns - SHOWN_NS))
    return from_ns, min(from_ns + SHOWN_NS, capture.stop_ns)


def _guesses(capture: Capture) -> dict[int, str]:
    """Return what each lead is most likely clipped to, every role once; a lead named like a role is that."""
    guesses = {place: lead.name for place, lead in enumerate(capture.leads) if is_role(lead.name)}
    for place, lead in enumerate(capture.leads):
        if place not in guesses and lead.edges is not None:
            role = _role_by_look(lead.edges, capture.stop_ns - capture.start_ns)
            if role and role not in guesses.values():
                guesses[place] = role
    return guesses


def _role_by_look(edges: Edges, span_ns: int) -> str:
    kind = line_kind(edges)
    if kind is LineKind.SERVO:
        return "output"
    if kind is LineKind.TRAIN:
        return "module"
    few = 0 < edges.count <= _FEW_CHANGES_A_SECOND * max(span_ns / 1e9, 1.0)
    return "switch" if few else ""


def _within(lead: CaptureLead, from_ns: int, to_ns: int) -> Record | None:
    series = lead.edges if lead.edges is not None else lead.levels
    if series is None:
        return None
    first, last = np.searchsorted(series.times_ns, [from_ns, to_ns]).tolist()
    part = slice(max(first - 1, 0), last)
    if isinstance(series, Edges):
        return Edges(
            lead=series.lead, times_ns=series.times_ns[part], levels=series.levels[part], flags=series.flags[part]
        )
    return Levels(lead=series.lead, times_ns=series.times_ns[part], values=series.values[part])
