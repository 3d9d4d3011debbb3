"""The texts in a session's rows: descriptors and event details as JSON, read back without trust."""

import json
from collections.abc import Mapping
from dataclasses import asdict, fields
from types import MappingProxyType
from typing import NoReturn, cast

import numpy as np

from benchapp.records.errors import WrongInput
from benchapp.records.events import Event, EventKind, Json
from benchapp.records.leads import Board, ClockKind, Lead, LeadKind, Stretch

MOST_LEVELS = 20
"""How deep a row's text may be nested: a session's own texts have three levels; whoever reads deeper ones runs out of
stack somewhere."""


class BadText(ValueError):
    """A row's text is not what belongs there."""


def _text(value: object) -> str:
    return json.dumps(value, sort_keys=True, separators=(",", ":"), allow_nan=False)


def _refuse_constant(word: str) -> NoReturn:
    raise BadText(f"{word} is no number")


def _object(text: str) -> dict[str, Json]:
    try:
        value = json.loads(text, parse_constant=_refuse_constant)
    except (ValueError, RecursionError) as error:
        raise BadText("is no text of a session") from error
    if not isinstance(value, dict) or _is_deep(value, MOST_LEVELS):
        raise BadText("is no text of a session")
    return cast("dict[str, Json]", value)


def _is_deep(value: object, levels: int) -> bool:
    """Return whether lists and objects stand in one another more than so many levels deep."""
    if not isinstance(value, dict | list):
        return False
    inside = value.values() if isinstance(value, dict) else value
    return levels == 0 or any(_is_deep(item, levels - 1) for item in inside)


def storable(text: str) -> str:
    """Return the text as it can be stored: as typed, with characters that are no Unicode text written as escapes."""
    return text.encode("utf-8", "backslashreplace").decode("utf-8")


def detail_text(event: Event) -> str:
    """Return an event's detail as one line of JSON, keys sorted, escaped to ASCII. Raises ValueError for NaN."""
    return _text(_plain(event.detail))


def check_storable(event: Event) -> None:
    """Raise WrongInput where an entry holds what JSON cannot: not-a-number, infinity, no plain value, a deep nest."""
    try:
        if _is_deep(json.loads(detail_text(event)), MOST_LEVELS):
            raise BadText("nested too deeply")
    except (ValueError, TypeError, RecursionError) as error:
        raise WrongInput(
            f"An entry of the log ({event.kind.value}) cannot be kept. Wanted text, plain numbers, yes or no; "
            "something else came."
        ) from error


def _plain(value: object) -> object:
    if isinstance(value, np.generic):
        return value.item()
    if isinstance(value, Mapping):
        return {str(key): _plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(item) for item in value]
    return value


def event_from(at_ns: int, run: int | None, kind: str, text: str) -> Event:
    """Return an event from its row. Raises BadText where its detail is not written exactly as detail_text writes it."""
    try:
        event = Event(kind=EventKind(kind), at_ns=at_ns, run=run, detail=MappingProxyType(_object(text)))
        exact = detail_text(event) == text
    except ValueError as error:
        raise BadText(str(error)) from error
    if not exact:
        raise BadText("its detail is not written as a session writes it")
    return event


_LEFT_OUT_IF_NONE = ("tested_mean_ns", "tested_sd_ns")
"""Fields that came later: a probe that was not tested is described as it always was."""


def _fields(record: Board | Lead) -> dict[str, object]:
    """Return the fields by name, those typed as numbers with a decimal point always written with one."""
    plain = {
        key: _plain(value) for key, value in asdict(record).items() if value is not None or key not in _LEFT_OUT_IF_NONE
    }
    for field in fields(record):
        value = plain.get(field.name)
        if "float" in str(field.type) and isinstance(value, int):
            plain[field.name] = float(value)
    return plain


def descriptors_text(stretch: Stretch) -> str:
    """Return the board and the leads of a stretch as one line of JSON, keys sorted, escaped to ASCII."""
    return _text({"board": _fields(stretch.board), "leads": [_fields(lead) for lead in stretch.leads]})


def _whole(source: dict[str, Json], key: str) -> int:
    value = source.get(key)
    if not isinstance(value, int) or isinstance(value, bool):
        raise BadText(f"{key} is no whole number")
    return value


def _number(source: dict[str, Json], key: str) -> float:
    value = source.get(key)
    if not isinstance(value, int | float) or isinstance(value, bool) or not abs(value) < 1e300:
        raise BadText(f"{key} is no number")
    return float(value)


def _number_or_none(source: dict[str, Json], key: str) -> float | None:
    return None if source.get(key) is None else _number(source, key)


def _word(source: dict[str, Json], key: str) -> str:
    value = source.get(key)
    if not isinstance(value, str):
        raise BadText(f"{key} is no text")
    return value


def _board(source: dict[str, Json]) -> Board:
    return Board(
        wire_version=_whole(source, "wire_version"),
        start_id=_whole(source, "start_id"),
        tick_hz=_whole(source, "tick_hz"),
        tick_bits=_whole(source, "tick_bits"),
        clock_kind=ClockKind(_word(source, "clock_kind")),
        tolerance_ppm=_number_or_none(source, "tolerance_ppm"),
        serial=_word(source, "serial"),
        program=_word(source, "program"),
    )


def _lead(source: dict[str, Json]) -> Lead:
    return Lead(
        index=_whole(source, "index"),
        label=_word(source, "label"),
        kind=LeadKind(_word(source, "kind")),
        role=_word(source, "role"),
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


def stretch_from(number: int, origin_tick: int, origin_ns: int, text: str) -> Stretch:
    """Return a stretch from its row. Raises BadText where its text is not JSON as descriptors_text writes it."""
    source = _object(text)
    board, leads = source.get("board"), source.get("leads")
    if not isinstance(board, dict) or not isinstance(leads, list) or not all(isinstance(lead, dict) for lead in leads):
        raise BadText("no board or no leads")
    try:
        stretch = Stretch(
            number=number,
            board=_board(board),
            leads=tuple(_lead(cast("dict[str, Json]", lead)) for lead in leads),
            origin_tick=origin_tick,
            origin_ns=origin_ns,
        )
    except BadText:
        raise
    except ValueError as error:
        raise BadText("names a kind of clock or lead that is not known") from error
    if _text(source) != text:
        raise BadText("is not written as a session writes it")
    indices = [lead.index for lead in stretch.leads]
    if stretch.board.tick_hz < 1 or len(set(indices)) < len(indices) or any(index < 0 for index in indices):
        raise BadText("describes a board that cannot be")
    return stretch
