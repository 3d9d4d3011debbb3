"""The run entries of the log: how a run's start and stop are written, and read back without trust."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TypeVar

from benchapp.records.events import Event, EventKind, Json
from benchapp.records.leads import is_role
from benchapp.records.run import Outcome, PickUp, Polarity, RunSettings

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
    told = settings or RunSettings()
    asked: dict[str, Json] = {
        "hold_off_ns": told.hold_off_ns,
        "flips": told.flips,
        "seconds": told.seconds,
        "target_ms": told.target_ms,
    }
    detail: dict[str, Json] = {
        "test": test,
        "roles": {str(lead): role for lead, role in roles.items()},
        "polarity": {role: found.value for role, found in (polarity or {}).items() if found is not Polarity.FIND},
        "pick_up": pick_up.value,
        "settings": asked,
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


def whole_or(value: object, otherwise: int | None) -> int | None:
    """Return a whole number, or the other where the value is none."""
    return value if isinstance(value, int) and not isinstance(value, bool) else otherwise


def _number(value: object) -> float | None:
    return float(value) if isinstance(value, int | float) and not isinstance(value, bool) else None


def _settings(source: Mapping[str, Json]) -> RunSettings:
    hold_off_ns = whole_or(source.get("hold_off_ns"), None)
    return RunSettings(
        hold_off_ns=RunSettings().hold_off_ns if hold_off_ns is None or hold_off_ns < 0 else hold_off_ns,
        flips=whole_or(source.get("flips"), None),
        seconds=_number(source.get("seconds")),
        target_ms=_number(source.get("target_ms")),
    )


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
        settings=_settings(_object(detail.get("settings"))),
        stretch=whole_or(detail.get("stretch"), None),
    )


def outcome_of(stop: Event) -> Outcome:
    """Return how a run-stop entry says the run ended; cut short where it does not say."""
    return _word(Outcome, stop.detail.get("outcome"), Outcome.CUT_SHORT)
