"""Finding leads of a capture by the names people type."""

from collections.abc import Iterable, Sequence
from dataclasses import replace

from benchapp.records.errors import WrongCall
from benchapp.records.stream import Edges, frozen_array
from benchapp.sessions.exchange.capture import Capture, CaptureLead
from benchapp.sessions.exchange.refusal import listed, shown


def find_lead(capture: Capture, name: str) -> int:
    """Return the place in capture.leads of the one lead of this name.

    A full scope.name wins over a bare name or the end of a path; several names of the same wire count as one.
    Raises WrongCall, naming what there is, for a name that is unknown, ambiguous, or no lead.
    """
    for matches in (_matches(capture, name, full=True), _matches(capture, name, full=False)):
        if len({capture.leads[place].source for place in matches}) == 1:
            return matches[0]
        if matches:
            candidates = [capture.leads[place].scoped_name for place in matches]
            raise WrongCall(
                f"{shown(capture.name_hint)} has {len(matches)} leads called {shown(name)}: {listed(candidates)}. "
                "Say which one by its scope."
            )
    for other in capture.unread:
        if name in (other.name, other.scoped_name):
            raise WrongCall(f"{shown(name)} in {shown(capture.name_hint)} cannot be a lead: {other.reason}.")
    raise WrongCall(
        f"{shown(capture.name_hint)} has no lead called {shown(name)}. It holds: {listed(lead_names(capture.leads))}."
    )


def lead_names(leads: Iterable[CaptureLead]) -> list[str]:
    """Return the leads' names; with the scope where the bare name would not do."""
    leads = tuple(leads)
    names = [lead.name for lead in leads]
    return [lead.name if names.count(lead.name) == 1 else lead.scoped_name for lead in leads]


def _matches(capture: Capture, name: str, *, full: bool) -> list[int]:
    if full:
        return [place for place, lead in enumerate(capture.leads) if lead.scoped_name == name]
    return [
        place for place, lead in enumerate(capture.leads) if lead.name == name or lead.scoped_name.endswith(f".{name}")
    ]


def inverted(capture: Capture, names: Sequence[str]) -> Capture:
    """Return the capture with the named on-off leads turned over: 0 for 1 and 1 for 0, stamps as they were.

    Raises WrongCall for an unknown name and for a lead of volts.
    The stored levels are turned, as an inverting lead would have turned them, so that an export of the session imports
    to the same numbers without being told again.
    """
    places = {find_lead(capture, name) for name in names}
    sources = {capture.leads[place].source for place in places}
    leads = tuple(_turned(lead) if lead.source in sources else lead for lead in capture.leads)
    return replace(capture, leads=leads)


def _turned(lead: CaptureLead) -> CaptureLead:
    if lead.edges is None:
        raise WrongCall(f"{shown(lead.name)} is in volts; only an on-off lead can be inverted.")
    edges = Edges(
        lead=lead.edges.lead,
        times_ns=lead.edges.times_ns,
        levels=frozen_array(1 - lead.edges.levels),
        flags=lead.edges.flags,
    )
    return replace(lead, edges=edges, initial=None if lead.initial is None else 1 - lead.initial)
