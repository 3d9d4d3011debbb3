"""The run entries of the log: how a run's start and stop are written, and read back without trust."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TypeVar

from benchapp.records.events import Event, EventKind, Json
from benchapp.records.leads import is_role
from benchapp.records.run import Outcome, PickUp, Polarity, RunSettings, Stop
from benchapp.records.run_settings import finite_or_none, settings_detail, settings_read, whole_or_none

STOPPED_EARLY = "stopped-early"
"""The reason of a stop that was never recorded: the program or the power ended first."""
_Word = TypeVar("_Word", PickUp, Polarity, Outcome)


@dataclass(frozen=True, kw_only=True, slots=True)
class RunStart:
    """What a run-start entry says. roles are by lead index; stretch is None where the entry names none."""

    run: int
    at_ns: int
    test: str
    roles: Mapping[int, str]
    polarity: Mapping[str, Polarity]
    pick_up: PickUp
    settings: RunSettings
    stretch: int | None


def run_start_event(
    *,
    run: int,
    at_ns: int,
    test: str,
    roles: Mapping[int, str],
    pick_up: PickUp,
    stretch: int,
    polarity: Mapping[str, Polarity] | None = None,
    settings: RunSettings | None = None,
) -> Event:
    """Return the entry that starts a run: which lead has which role, and what the run was told."""
    detail: dict[str, Json] = {
        "test": test,
        "roles": {str(lead): role for lead, role in roles.items()},
        "polarity": {role: found.value for role, found in (polarity or {}).items() if found is not Polarity.FIND},
        "pick_up": pick_up.value,
        "settings": settings_detail(settings or RunSettings()),
        "stretch": stretch,
    }
    return Event(kind=EventKind.RUN_START, at_ns=at_ns, run=run, detail=detail)


def run_stop_event(*, run: int, at_ns: int, outcome: Outcome, reason: str = "", stopped_itself: bool = False) -> Event:
    """Return the entry that ends a run."""
    detail: dict[str, Json] = {"outcome": outcome.value, "reason": reason, "stopped_itself": stopped_itself}
    return Event(kind=EventKind.RUN_STOP, at_ns=at_ns, run=run, detail=detail)


def _word(kind: type[_Word], value: object, otherwise: _Word) -> _Word:
    return next((word for word in kind if word.value == value), otherwise)


def _object(value: object) -> Mapping[str, Json]:
    return value if isinstance(value, dict) else {}


def run_start_of(event: Event) -> RunStart | None:
    """Return what a run-start entry says, None where it has no run number or names no test."""
    detail = event.detail
    test = detail.get("test")
    if event.run is None or not isinstance(test, str):
        return None
    roles = {
        int(lead): role for lead, role in _object(detail.get("roles")).items() if lead.isdecimal() and len(lead) < 10
    }
    polarity = _object(detail.get("polarity")).items()
    return RunStart(
        run=event.run,
        at_ns=event.at_ns,
        test=test,
        roles={lead: role for lead, role in roles.items() if isinstance(role, str) and is_role(role)},
        polarity={role: _word(Polarity, word, Polarity.FIND) for role, word in polarity},
        pick_up=_word(PickUp, detail.get("pick_up"), PickUp.UNKNOWN),
        settings=settings_read(_object(detail.get("settings"))),
        stretch=whole_or_none(detail.get("stretch")),
    )


def stop_taken_event(*, run: int, stop: Stop) -> Event:
    """Return the entry of one stop that was taken; it stands at the end of the span in which everything was still."""
    detail: dict[str, Json] = {"position_deg": stop.position_deg, "from_ns": stop.from_ns, "to_ns": stop.to_ns}
    return Event(kind=EventKind.STOP_TAKEN, at_ns=stop.to_ns, run=run, detail=detail)


def stop_of(event: Event) -> Stop | None:
    """Return the stop that an entry says was taken, None where it does not say it whole."""
    position = finite_or_none(event.detail.get("position_deg"))
    from_ns, to_ns = whole_or_none(event.detail.get("from_ns")), whole_or_none(event.detail.get("to_ns"))
    if position is None or from_ns is None or to_ns is None or to_ns < from_ns:
        return None
    return Stop(position_deg=position, from_ns=from_ns, to_ns=to_ns)


def outcome_of(stop: Event) -> Outcome:
    """Return how a run-stop entry says the run ended; cut short where it does not say."""
    return _word(Outcome, stop.detail.get("outcome"), Outcome.CUT_SHORT)
