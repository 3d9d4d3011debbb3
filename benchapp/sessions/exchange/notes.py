"""What our own exports say beside the evidence: one line of JSON that other readers pass over.

Stamps, states and volts need no notes. These carry what a VCD or CSV has no place for: the leads' descriptors, flags of
single stamps, the exact gaps, and the bounds, pauses and drops of the runs.
"""

import itertools
import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from typing import cast

import numpy as np
from numpy.typing import NDArray

from benchapp.records.events import Json
from benchapp.records.leads import Lead, LeadKind
from benchapp.records.run import Origin, Outcome, Pause, PickUp, Polarity, Stop
from benchapp.records.run_settings import settings_detail, settings_read
from benchapp.records.stream import Edges, Gap, Levels, frozen_array
from benchapp.sessions.exchange.capture import Capture, CaptureLead, ExportNotes, RunNote
from benchapp.sessions.exchange.decimals import NS_LIMIT

MARK = "benchapp-export-1"
"""The first word of a VCD comment, or the header of a CSV column, that holds the notes."""
PRACTICE_WORDS = "PRACTICE, SIMULATED"

Object = Mapping[str, Json]


class BadNotes(ValueError):
    """The notes are not what we write."""


def notes_text(capture: Capture, columns: Sequence[str], *, origin_ns: int = 0) -> str:
    """Return the notes of a capture as one line of printable ASCII without blanks or dollar signs.

    columns are the leads' names as the file spells them; origin_ns is the ns at which the file's axis has its 0.
    """
    notes = capture.notes
    document = {
        "format": MARK,
        "says": PRACTICE_WORDS if notes and notes.origin is Origin.PRACTICE else "",
        "origin": (notes.origin if notes else Origin.CAPTURE).value,
        "origin_ns": origin_ns,
        "tick_ns": capture.tick_ns,
        "started": capture.started,
        "clock_tolerance_ppm": notes.clock_tolerance_ppm if notes else None,
        "runs": [_run_object(run) for run in notes.runs] if notes else [],
        "leads": [_lead_object(lead, column) for lead, column in zip(capture.leads, columns, strict=True)],
    }
    text = json.dumps(document, ensure_ascii=True, separators=(",", ":"), allow_nan=False)
    # blanks would be folded by a VCD reader and $end would close its comment; both stand inside strings only
    return text.replace("$", "\\u0024").replace(" ", "\\u0020").replace("\x7f", "\\u007f")


def notes_in(comments: Iterable[str]) -> str | None:
    """Return the notes among the comments of a VCD, or None."""
    for comment in comments:
        mark, _, text = comment.partition(" ")
        if mark == MARK:
            return text
    return None


def level_columns(text: str | None) -> frozenset[str]:
    """Return the columns that the notes call volts, so that a lead resting at 0 V is not taken for an on-off one."""
    try:
        leads = _objects(_document(text), "leads") if text is not None else []
        return frozenset(_word(lead, "column") for lead in leads if lead.get("kind") == LeadKind.LEVEL.value)
    except ValueError:
        return frozenset()


def applied_notes(capture: Capture, text: str | None) -> Capture:
    """Return the capture with what the notes say; unreadable notes leave it as it is, with a remark."""
    if text is None:
        return capture
    try:
        document = _document(text)
        shifted = _shifted(capture, _whole(document, "origin_ns"))
        started = document.get("started")
        noted = {_word(lead, "column"): lead for lead in _objects(document, "leads")}
        tolerance = document.get("clock_tolerance_ppm")
        notes = ExportNotes(
            origin=Origin(_word(document, "origin")),
            clock_tolerance_ppm=None if tolerance is None else _number(document, "clock_tolerance_ppm"),
            runs=tuple(_run(run) for run in _objects(document, "runs")),
        )
        tick_ns = _number(document, "tick_ns")
        leads, edited = _described(shifted.leads, noted)
    except (ValueError, RecursionError):
        return replace(
            capture,
            remarks=(*capture.remarks, "The notes of the export in this file cannot be read; they are left out."),
        )
    remarks = tuple(f"The notes on {name} do not fit what the file holds; they are left out." for name in edited)
    return replace(
        shifted,
        started=capture.started or (started if isinstance(started, str) else None),
        leads=leads,
        notes=notes,
        tick_ns=tick_ns if tick_ns > 0 else capture.tick_ns,
        remarks=(*capture.remarks, *remarks),
    )


# -- writing -----------------------------------------------------------------------------------------------------


def _run_object(run: RunNote) -> dict[str, Json]:
    return {
        "test": run.test,
        "start_ns": run.start_ns,
        "stop_ns": run.stop_ns,
        "outcome": run.outcome.value,
        "pick_up": run.pick_up.value,
        "stopped_itself": run.stopped_itself,
        **settings_detail(run.settings),
        "polarity": cast("dict[str, Json]", dict(run.polarity)),
        "pauses": [[pause.from_ns, pause.to_ns, pause.reason] for pause in run.pauses],
        "drops_ns": list(run.drops_ns),
        **({"stops": [[stop.position_deg, stop.from_ns, stop.to_ns] for stop in run.stops]} if run.stops else {}),
    }


def _lead_object(lead: CaptureLead, column: str) -> dict[str, Json]:
    out: dict[str, Json] = {
        "column": column,
        "name": lead.name,
        "kind": (LeadKind.EDGE if lead.edges is not None else LeadKind.LEVEL).value,
        "records": lead.edges.count if lead.edges is not None else lead.levels.count if lead.levels is not None else 0,
        "gaps": [[gap.from_ns, gap.to_ns, gap.cause, gap.count] for gap in lead.gaps],
    }
    if lead.edges is not None:
        out["flags"] = cast("list[Json]", _flag_spans(lead.edges.flags))
    if lead.described is not None:
        out["descriptor"] = _descriptor_object(lead.described)
    return out


def _flag_spans(flags: NDArray[np.uint8]) -> list[list[int]]:
    """Return the runs of equal flags that are not 0, as first, count, value."""
    if not flags.any():
        return []
    bounds = np.concatenate(([0], np.flatnonzero(flags[1:] != flags[:-1]) + 1, [flags.size])).tolist()
    spans = itertools.pairwise(bounds)
    return [[low, high - low, int(flags[low])] for low, high in spans if flags[low]]


def _descriptor_object(lead: Lead) -> dict[str, Json]:
    plain: dict[str, Json] = {
        "resolution_ns": lead.resolution_ns,
        "bias_ns": lead.bias_ns,
        "lateness_typical_ns": lead.lateness_typical_ns,
        "lateness_worst_ns": lead.lateness_worst_ns,
        "shortest_pulse_ns": lead.shortest_pulse_ns,
        "full_scale_v": lead.full_scale_v,
        "full_scale_counts": lead.full_scale_counts,
        "nonlinearity_lsb": lead.nonlinearity_lsb,
        "highest_safe_v": lead.highest_safe_v,
    }
    if lead.tested_sd_ns is not None:
        plain |= {"tested_mean_ns": lead.tested_mean_ns, "tested_sd_ns": lead.tested_sd_ns}
    return plain


# -- reading -----------------------------------------------------------------------------------------------------


def _document(text: str) -> Object:
    value = json.loads(text)
    if not isinstance(value, dict) or value.get("format") != MARK:
        raise BadNotes("not our notes")
    return value


def _whole(source: Object, key: str) -> int:
    return _as_whole(source.get(key))


def _as_whole(value: Json) -> int:
    if not isinstance(value, int) or isinstance(value, bool) or abs(value) >= NS_LIMIT:
        raise BadNotes("expected a whole number")
    return value


def _whole_or_none(value: Json) -> int | None:
    return None if value is None else _as_whole(value)


def _number(source: Object, key: str) -> float:
    return _as_number(source.get(key))


def _as_number(value: Json) -> float:
    if not isinstance(value, int | float) or isinstance(value, bool) or not abs(value) < 1e18:
        raise BadNotes("expected a number")
    return float(value)


def _number_or_none(source: Object, key: str) -> float | None:
    return None if source.get(key) is None else _number(source, key)


def _word(source: Object, key: str) -> str:
    return _as_word(source.get(key))


def _as_word(value: Json) -> str:
    if not isinstance(value, str):
        raise BadNotes("expected a text")
    return value


def _objects(source: Object, key: str) -> list[dict[str, Json]]:
    value = source.get(key)
    if not isinstance(value, list) or not all(isinstance(item, dict) for item in value):
        raise BadNotes("expected a list of objects")
    return cast("list[dict[str, Json]]", value)


def _rows(source: Object, key: str, width: int) -> list[list[Json]]:
    value = source.get(key, [])
    if not isinstance(value, list):
        raise BadNotes("expected a list")
    rows = [row for row in value if isinstance(row, list) and len(row) == width]
    if len(rows) != len(value):
        raise BadNotes("expected rows of one width")
    return rows


def _run(source: Object) -> RunNote:
    polarity, drops = source.get("polarity"), source.get("drops_ns")
    if not isinstance(polarity, dict) or not isinstance(drops, list):
        raise BadNotes("expected polarity and drops")
    start_ns, stop_ns = _whole(source, "start_ns"), _whole(source, "stop_ns")
    if stop_ns < start_ns:
        raise BadNotes("expected a run that stops after its start")
    return RunNote(
        test=_word(source, "test"),
        start_ns=start_ns,
        stop_ns=stop_ns,
        outcome=Outcome(_word(source, "outcome")),
        pick_up=PickUp(_word(source, "pick_up")),
        stopped_itself=source.get("stopped_itself") is True,
        settings=replace(
            settings_read(source),
            hold_off_ns=_whole(source, "hold_off_ns"),
            flips=_whole_or_none(source.get("flips")),
            seconds=_number_or_none(source, "seconds"),
            target_ms=_number_or_none(source, "target_ms"),
        ),
        polarity={name: Polarity(_as_word(word)).value for name, word in polarity.items()},
        pauses=tuple(
            Pause(from_ns=_as_whole(begin), to_ns=_as_whole(end), reason=_as_word(reason))
            for begin, end, reason in _rows(source, "pauses", 3)
        ),
        drops_ns=tuple(_as_whole(drop) for drop in drops),
        stops=tuple(
            Stop(position_deg=_as_number(position), from_ns=_as_whole(begin), to_ns=_as_whole(end))
            for position, begin, end in _rows(source, "stops", 3)
        ),
    )


def _shifted(capture: Capture, by_ns: int) -> Capture:
    if by_ns == 0:
        return capture
    return replace(
        capture,
        start_ns=capture.start_ns + by_ns,
        stop_ns=capture.stop_ns + by_ns,
        leads=tuple(_shifted_lead(lead, by_ns) for lead in capture.leads),
    )


def _shifted_lead(lead: CaptureLead, by_ns: int) -> CaptureLead:
    edges, levels = lead.edges, lead.levels
    if edges is not None:
        times = frozen_array(edges.times_ns + by_ns)
        edges = Edges(lead=edges.lead, times_ns=times, levels=edges.levels, flags=edges.flags)
    if levels is not None:
        levels = Levels(lead=levels.lead, times_ns=frozen_array(levels.times_ns + by_ns), values=levels.values)
    gaps = tuple(replace(gap, from_ns=gap.from_ns + by_ns, to_ns=gap.to_ns + by_ns) for gap in lead.gaps)
    return replace(lead, edges=edges, levels=levels, gaps=gaps)


def _described(
    leads: tuple[CaptureLead, ...], notes: Mapping[str, Object]
) -> tuple[tuple[CaptureLead, ...], list[str]]:
    out: list[CaptureLead] = []
    edited: list[str] = []
    for place, lead in enumerate(leads):
        note = notes.get(lead.name)
        if note is None:
            out.append(lead)
            continue
        count = lead.edges.count if lead.edges is not None else lead.levels.count if lead.levels is not None else 0
        if _whole(note, "records") != count:
            edited.append(lead.name)
            out.append(lead)
            continue
        out.append(_with_note(lead, place, note, count))
    return tuple(out), edited


def _with_note(lead: CaptureLead, place: int, note: Object, count: int) -> CaptureLead:
    name = _word(note, "name")
    gaps = tuple(
        Gap(
            leads=(place,),
            from_ns=_as_whole(begin),
            to_ns=_as_whole(end),
            cause=_as_word(cause),
            count=_whole_or_none(lost),
        )
        for begin, end, cause, lost in _rows(note, "gaps", 4)
    )
    edges = lead.edges
    if edges is not None:
        flags = np.zeros(count, dtype=np.uint8)
        for first, length, value in _rows(note, "flags", 3):
            low, span, mark = _as_whole(first), _as_whole(length), _as_whole(value)
            if low < 0 or span < 0 or low + span > count or not 0 <= mark < 128:
                raise BadNotes("expected flags of stamps that exist")
            flags[low : low + span] = mark
        edges = Edges(lead=place, times_ns=edges.times_ns, levels=edges.levels, flags=frozen_array(flags))
    descriptor = note.get("descriptor")
    kind = LeadKind.EDGE if edges is not None else LeadKind.LEVEL
    return replace(
        lead,
        name=name,
        scoped_name=lead.scoped_name.removesuffix(lead.name) + name,
        edges=edges,
        gaps=gaps,
        described=_descriptor(descriptor, place, name, kind) if isinstance(descriptor, dict) else None,
    )


def _descriptor(source: Object, place: int, name: str, kind: LeadKind) -> Lead:
    return Lead(
        index=place,
        label=name,
        kind=kind,
        resolution_ns=_number(source, "resolution_ns"),
        bias_ns=_number(source, "bias_ns"),
        lateness_typical_ns=_number(source, "lateness_typical_ns"),
        lateness_worst_ns=_number(source, "lateness_worst_ns"),
        shortest_pulse_ns=_number(source, "shortest_pulse_ns"),
        full_scale_v=_number_or_none(source, "full_scale_v"),
        full_scale_counts=_whole(source, "full_scale_counts"),
        nonlinearity_lsb=_number_or_none(source, "nonlinearity_lsb"),
        highest_safe_v=_number_or_none(source, "highest_safe_v"),
        tested_mean_ns=_number_or_none(source, "tested_mean_ns"),
        tested_sd_ns=_number_or_none(source, "tested_sd_ns"),
    )
