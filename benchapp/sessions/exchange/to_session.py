"""A capture as the stretch, the records and the events of a session."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from benchapp.records.errors import WrongCall
from benchapp.records.events import Event, EventKind
from benchapp.records.leads import Board, ClockKind, Lead, LeadKind, Stretch, is_role
from benchapp.records.named_tests import named_test
from benchapp.records.run import Origin, Outcome, PickUp, Polarity, RunSettings
from benchapp.records.stream import Gap, Record
from benchapp.sessions.exchange.capture import Capture, CaptureLead, RunNote
from benchapp.sessions.exchange.choose import find_lead, inverted, lead_names
from benchapp.sessions.exchange.refusal import listed, shown
from benchapp.sessions.exchange.time_unit import unit_doubts
from benchapp.sessions.runs import run_start_event, run_stop_event, stop_taken_event

STRETCH = 1
CAPTURE_ENDED = "capture-ended"
"""The reason of a run's stop where the capture simply ends."""
_VOLT_ROLES = frozenset(("stick", "horn", "voltage", "current"))
_TURNED = {Polarity.HIGH.value: Polarity.LOW.value, Polarity.LOW.value: Polarity.HIGH.value}


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class ImportedSession:
    """A session's evidence, ready to be written.

    origin is PRACTICE where the capture is an export of the practice bench: that stays said. started is ISO 8601 or
    None. remarks are sentences about what was left out.
    Simulated runs never pass as real ones.
    """

    stretch: Stretch
    records: tuple[Record, ...]
    events: tuple[Event, ...]
    origin: Origin
    started: str | None
    pick_up: PickUp
    remarks: tuple[str, ...] = ()


def capture_to_session(
    capture: Capture,
    roles: Mapping[str, str],
    invert: Sequence[str],
    test: str,
    pick_up: PickUp | None = None,
    *,
    corrected: RunSettings | None = None,
) -> ImportedSession:
    """Return a capture as one stretch with every lead in it, and its run of a test over the whole of it.

    roles maps lead names to roles; a lead named like a role that nobody mentions has that role, unless another was
    given it. An export of ours brings the bounds, pauses, drops and settings of its own runs of that test.
    pick_up says how the flip reached the instrument; None leaves it as the capture tells it, usually not noted.
    corrected holds a correction entered by hand, which takes the place of one that the capture tells.
    Raises WrongCall for unknown, ambiguous or contradictory names, and for roles the test needs and has not.
    """
    given = _given_roles(capture, roles)
    remarks = [*unit_doubts(capture), *capture.remarks, *_left_out(capture)]
    given |= _implied_roles(capture, given, remarks)
    _check_kinds(capture, given)
    _check_needs(capture, given, test)
    turned = frozenset(capture.leads[find_lead(capture, name)].name for name in invert)
    capture = inverted(capture, invert)
    runs = tuple(_as_told(run, pick_up, corrected) for run in _runs(capture, test))
    return ImportedSession(
        stretch=_stretch(capture, given),
        records=_records(capture),
        events=tuple(
            event for number, run in enumerate(runs, start=1) for event in _events(number, run, given, capture, turned)
        ),
        origin=Origin.PRACTICE if capture.notes and capture.notes.origin is Origin.PRACTICE else Origin.CAPTURE,
        started=capture.started,
        pick_up=runs[0].pick_up,
        remarks=tuple(remarks),
    )


def _as_told(run: RunNote, pick_up: PickUp | None, corrected: RunSettings | None) -> RunNote:
    settings = run.settings
    if corrected is not None and corrected.correction_ms is not None:
        settings = replace(
            settings, correction_ms=corrected.correction_ms, correction_within_ms=corrected.correction_within_ms
        )
    return replace(run, pick_up=pick_up or run.pick_up, settings=settings)


def _left_out(capture: Capture) -> list[str]:
    """Return a sentence about the variables that are no leads, if there are any."""
    if not capture.unread:
        return []
    first = capture.unread[0]
    if len(capture.unread) == 1:
        return [f"{shown(first.scoped_name)} was left out: {first.reason}."]
    names = listed([other.scoped_name for other in capture.unread], most=5)
    return [f"{len(capture.unread)} variables are no leads and were left out: {names}."]


def _given_roles(capture: Capture, roles: Mapping[str, str]) -> dict[int, str]:
    given: dict[int, str] = {}
    for name, role in roles.items():
        if not is_role(role):
            raise WrongCall(
                f"{shown(role)} is no role. A lead is clipped to switch, stick, module, output (output-2 …), horn, "
                "voltage, current or drive."
            )
        place = find_lead(capture, name)
        if place in given:
            raise WrongCall(
                f"{shown(name)} is given two roles, {shown(given[place])} and {shown(role)}; it can have one."
            )
        if role in given.values():
            other = next(capture.leads[there].name for there, taken in given.items() if taken == role)
            raise WrongCall(
                f"Two leads, {shown(other)} and {shown(name)}, are given the role {shown(role)}; only one can have it."
            )
        given[place] = role
    return given


def _implied_roles(capture: Capture, given: Mapping[int, str], remarks: list[str]) -> dict[int, str]:
    implied: dict[int, str] = {}
    mentioned = {capture.leads[place].source for place in given}
    for name in dict.fromkeys(lead.name for lead in capture.leads if is_role(lead.name)):
        if name in given.values():
            if any(lead.name == name and place not in given for place, lead in enumerate(capture.leads)):
                remarks.append(f"The lead {shown(name)} was left without a role: another one was given it.")
            continue
        if all(lead.source in mentioned for lead in capture.leads if lead.name == name):
            continue
        implied[find_lead(capture, name)] = name
    return implied


def _check_kinds(capture: Capture, given: Mapping[int, str]) -> None:
    for place, role in given.items():
        lead = capture.leads[place]
        if role in _VOLT_ROLES and lead.levels is None:
            raise WrongCall(f"The role {shown(role)} wants a lead in volts; {shown(lead.name)} holds only 0 and 1.")
        if role not in _VOLT_ROLES and lead.edges is None:
            raise WrongCall(
                f"The role {shown(role)} wants an on-off lead; {shown(lead.name)} is in volts. "
                f"Say at which voltage it switches: --threshold NAME=VOLTS."
            )


def _check_needs(capture: Capture, given: Mapping[int, str], test: str) -> None:
    typed = any(run.stops for run in _runs(capture, test))
    wanted = [row[0] for row in named_test(test).missing(given.values(), typed=typed)]
    if wanted:
        missing = " and ".join(wanted)
        raise WrongCall(
            f"The test {test} needs a lead clipped to {missing}; say --lead NAME={wanted[0]}. "
            f"{shown(capture.name_hint)} holds: {listed(lead_names(capture.leads))}."
        )


def _runs(capture: Capture, test: str) -> tuple[RunNote, ...]:
    noted = [run for run in capture.notes.runs if run.test == test] if capture.notes else []
    if noted:
        return tuple(noted)
    return (
        RunNote(
            test=test,
            start_ns=capture.start_ns,
            stop_ns=capture.stop_ns,
            outcome=Outcome.COMPLETE,
            pick_up=PickUp.UNKNOWN,
        ),
    )


def _stretch(capture: Capture, given: Mapping[int, str]) -> Stretch:
    notes = capture.notes
    board = Board(
        wire_version=0,
        start_id=0,
        # a tick of 10 s or 100 s has no whole rate; the leads' resolution states it
        tick_hz=max(1, round(1e9 / capture.tick_ns)),
        tick_bits=64,
        clock_kind=ClockKind.CAPTURE,
        tolerance_ppm=notes.clock_tolerance_ppm if notes else None,
        serial="",
    )
    leads = tuple(_descriptor(lead, place, given.get(place, ""), capture) for place, lead in enumerate(capture.leads))
    return Stretch(number=STRETCH, board=board, leads=leads, origin_tick=0, origin_ns=0)


def _descriptor(lead: CaptureLead, place: int, role: str, capture: Capture) -> Lead:
    kind = LeadKind.EDGE if lead.edges is not None else LeadKind.LEVEL
    if lead.described is not None:
        return replace(lead.described, index=place, label=lead.name, role=role, kind=kind)
    return Lead(index=place, label=lead.name, role=role, kind=kind, resolution_ns=capture.tick_ns)


def _records(capture: Capture) -> tuple[Record, ...]:
    records: list[Record] = []
    spans: dict[tuple[int, int, str, int | None], list[int]] = {}
    for place, lead in enumerate(capture.leads):
        records += [stream for stream in (lead.edges, lead.levels) if stream is not None and stream.count]
        for gap in lead.gaps:
            spans.setdefault((gap.from_ns, gap.to_ns, gap.cause, gap.count), []).append(place)
    for (begin, end, cause, count), places in sorted(spans.items(), key=lambda item: item[0][:2]):
        # the same lead twice: one gap told twice in the file
        leads = tuple(dict.fromkeys(places))
        records.append(Gap(leads=leads, from_ns=begin, to_ns=end, cause=cause, count=count))
    return tuple(records)


def _events(
    number: int, run: RunNote, given: Mapping[int, str], capture: Capture, turned: frozenset[str]
) -> list[Event]:
    role_of = {capture.leads[place].name: role for place, role in given.items()}
    polarity = {
        role_of[name]: Polarity(_TURNED.get(word, word) if name in turned else word)
        for name, word in run.polarity.items()
        if name in role_of
    }
    start = run_start_event(
        run=number,
        at_ns=run.start_ns,
        test=run.test,
        roles=dict(sorted(given.items())),
        pick_up=run.pick_up,
        stretch=STRETCH,
        polarity=polarity,
        settings=run.settings,
    )
    inside = [Event(kind=EventKind.DROP, at_ns=drop, run=number, detail={"flip_ns": drop}) for drop in run.drops_ns]
    inside += [stop_taken_event(run=number, stop=stop) for stop in run.stops]
    for pause in run.pauses:
        inside.append(Event(kind=EventKind.PAUSE, at_ns=pause.from_ns, run=number, detail={"reason": pause.reason}))
        inside.append(Event(kind=EventKind.RESUME, at_ns=pause.to_ns, run=number))
    stop = run_stop_event(
        run=number,
        at_ns=run.stop_ns,
        outcome=run.outcome,
        reason=CAPTURE_ENDED,
        stopped_itself=run.stopped_itself,
    )
    return [start, *sorted(inside, key=lambda entry: entry.at_ns), stop]
