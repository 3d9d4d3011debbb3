"""Reads `practice://RADIO?key=value&…`."""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Any, TypeVar
from urllib.parse import unquote, urlsplit

from benchapp.probe.practice.hand import Motion, even_places
from benchapp.probe.practice.options import BenchOptions, Control, Flips, NewOffset, StickAge
from benchapp.probe.practice.radios import RADIOS
from benchapp.probe.practice.stick_law import TRAVEL_DEG
from benchapp.records.errors import WrongCall

SCHEME = "practice"
_EXAMPLE = f"Write {SCHEME}://alder?seed=1, for example."
_MOST_SHOWN = 40
_MOST_CHARACTERS = 2000
_MOST_STOPS = 101
_MOST_SPEEDS, _SLOWEST, _QUICKEST = 20, 0.2, 5.0
STICK_NOISE_US = 0.1
"""The output's noise where a stick is moved and the URL names none."""
_NUMBER = re.compile(r"[+-]?[0-9]{1,12}(?:\.[0-9]{1,12})?", re.ASCII)
_WHOLE = re.compile(r"[0-9]{1,12}", re.ASCII)

Word = TypeVar("Word", bound=StrEnum)


class Pace(StrEnum):
    """How the bench's time passes: as the clock on the wall does, or as fast as it is read."""

    REAL = "real"
    FLAT = "flat"


@dataclass(frozen=True, kw_only=True, slots=True)
class PracticeUrl:
    """What a practice URL asks for. pace is None where it does not say."""

    options: BenchOptions
    pace: Pace | None


def parse_practice_url(url: str) -> PracticeUrl:
    """Return what a practice URL asks for.

    Raises WrongCall naming the part that is wrong, what was wanted there and what came.
    """
    if len(url) > _MOST_CHARACTERS:
        raise WrongCall(
            f"A practice URL has at most {_MOST_CHARACTERS} characters; this one has {len(url)}. Shorten it."
        )
    if any(not character.isprintable() for character in url):
        raise WrongCall(f"A practice URL has printable characters only, got {_shown(url)}. {_EXAMPLE}")
    try:
        parts = urlsplit(url)
    except ValueError as trouble:
        raise WrongCall(f"{_shown(url)} cannot be read as a URL. {_EXAMPLE}") from trouble
    if parts.scheme != SCHEME:
        raise WrongCall(f"A practice URL begins with {SCHEME}://, got {_shown(url)}. {_EXAMPLE}")
    if parts.path not in ("", "/") or parts.fragment:
        raise WrongCall(f"Nothing but ?key=value follows the radio, got {_shown(url)}. {_EXAMPLE}")
    radio = RADIOS.get(parts.netloc.lower())
    if radio is None:
        raise WrongCall(f"The practice radios are {', '.join(RADIOS)}, got {_shown(parts.netloc)}. {_EXAMPLE}")
    options, pace = BenchOptions(radio=radio), None
    pairs = _pairs(parts.query)
    if "motion" in pairs:  # nothing else moves then, and the output is quiet enough for its steps to show
        options = replace(options, flips=Flips.NONE, noise_us=STICK_NOISE_US)
    for key, text in pairs.items():
        if key == "pace":
            pace = _choice(key, text, Pace)
        else:
            options = replace(options, **_OPTIONS[key](key, text))
    _check_together(options)
    return PracticeUrl(options=options, pace=pace)


def with_motion(url: str, motion: Motion, **keys: str) -> str:
    """Return a practice URL that asks for a motion and further keys of it.

    One that asks for some motion already stays as it is, and so does every key it names.
    """
    return url if "motion" in _named(url) else _with_keys(url, {"motion": motion.value, **keys})


def with_new_offset(url: str) -> str:
    """Return a practice URL whose first switch-on has an offset drawn for its radio and seed, unless it names one."""
    return _with_keys(url, {"offset": NewOffset.RADIO_AND_SEED.value})


def _named(url: str) -> set[str]:
    return {unquote(piece.partition("=")[0]) for piece in url.partition("?")[2].split("&")}


def _with_keys(url: str, keys: Mapping[str, str]) -> str:
    """Return a URL with further keys; those it names already stay as they are."""
    added = "&".join(f"{key}={text}" for key, text in keys.items() if key not in _named(url))
    return f"{url}{'&' if '?' in url else '?'}{added}" if added else url


def _pairs(query: str) -> Mapping[str, str]:
    pairs: dict[str, str] = {}
    for piece in filter(None, query.split("&")):
        raw_key, equals, raw_value = piece.partition("=")
        key, value = unquote(raw_key), unquote(raw_value)
        if key != "pace" and key not in _OPTIONS:
            known = ", ".join(sorted([*_OPTIONS, "pace"]))
            raise WrongCall(f"The practice bench knows no {_shown(key)}. It knows {known}.")
        if not equals or not value:
            raise WrongCall(f"{key} stands without a value in the practice URL. Write {key}=VALUE or leave it out.")
        if key in pairs:
            raise WrongCall(f"{key} stands twice in the practice URL. Keep one.")
        pairs[key] = value
    return pairs


def _check_together(options: BenchOptions) -> None:
    if options.ramp_ms > 0 and options.ramp_ms > options.dwell_s * 800:
        raise WrongCall(
            f"ramp_ms can be at most 0.8 of dwell_s, here {options.dwell_s * 800:g}, got {options.ramp_ms:g}. "
            "Make dwell_s longer or ramp_ms shorter."
        )
    if options.motion is None:
        return
    if options.control is Control.STICK:
        raise WrongCall("control=stick flicks the stick and motion moves it slowly. Keep one of them.")
    if options.flips is not Flips.NONE and options.motion is not Motion.NONE:
        raise WrongCall(f"With motion={options.motion} the bench does not flip the switch. Leave flips out.")


def _shown(text: str) -> str:
    """Return a stranger's text fit for one line of a message."""
    clipped = text if len(text) <= _MOST_SHOWN else text[:_MOST_SHOWN] + "…"
    return ascii(clipped) if any(not c.isprintable() for c in clipped) else repr(clipped)


def _choice(key: str, text: str, words: type[Word]) -> Word:
    try:
        return words(text)
    except ValueError:
        raise WrongCall(f"{key} in the practice URL is {' or '.join(words)}, got {_shown(text)}.") from None


_Reader = Callable[[str, str], dict[str, Any]]


def _number(low: float, high: float, unit: str) -> _Reader:
    def read(key: str, text: str) -> dict[str, Any]:
        if not _NUMBER.fullmatch(text) or not low <= float(text) <= high:
            raise WrongCall(
                f"{key} in the practice URL is a number from {low:g} to {high:g} {unit}, got {_shown(text)}."
            )
        return {key: float(text)}

    return read


def _seed(key: str, text: str) -> dict[str, Any]:
    if not _WHOLE.fullmatch(text):
        raise WrongCall(f"{key} in the practice URL is a whole number of 1 to 12 digits, got {_shown(text)}.")
    return {key: int(text)}


def _flips(key: str, text: str) -> dict[str, Any]:
    return {key: _choice(key, text, Flips)}


def _control(key: str, text: str) -> dict[str, Any]:
    return {key: _choice(key, text, Control)}


def _motion(key: str, text: str) -> dict[str, Any]:
    return {key: _choice(key, text, Motion)}


def _stick_age(key: str, text: str) -> dict[str, Any]:
    return {key: _choice(key, text, StickAge)}


def _counted(low: int, high: int, what: str) -> _Reader:
    def read(key: str, text: str) -> dict[str, Any]:
        if not _WHOLE.fullmatch(text) or not low <= int(text) <= high:
            raise WrongCall(
                f"{key} in the practice URL is a number of {what} from {low} to {high}, got {_shown(text)}."
            )
        return {key: int(text)}

    return read


def _stops(key: str, text: str) -> dict[str, Any]:
    if "," not in text:
        return {key: even_places(_counted(2, _MOST_STOPS, "stops")(key, text)[key])}
    pieces = text.split(",")
    good = len(pieces) <= _MOST_STOPS and all(_NUMBER.fullmatch(piece) for piece in pieces)
    degrees = [float(piece) for piece in pieces] if good else []
    if not degrees or any(abs(deg) > TRAVEL_DEG for deg in degrees) or sorted(set(degrees)) != degrees:
        raise WrongCall(
            f"{key} in the practice URL is a number of stops, or rising positions from -{TRAVEL_DEG:g} to "
            f"{TRAVEL_DEG:g} degrees with commas between, got {_shown(text)}."
        )
    return {key: tuple((deg / TRAVEL_DEG + 1.0) / 2.0 for deg in degrees)}


def _speeds(key: str, text: str) -> dict[str, Any]:
    pieces = text.split(",")
    good = len(pieces) <= _MOST_SPEEDS and all(_NUMBER.fullmatch(piece) for piece in pieces)
    speeds = tuple(float(piece) for piece in pieces) if good else ()
    if not speeds or not all(_SLOWEST <= speed <= _QUICKEST for speed in speeds):
        raise WrongCall(
            f"{key} in the practice URL is one to {_MOST_SPEEDS} numbers from {_SLOWEST:g} to {_QUICKEST:g} with "
            f"commas between, got {_shown(text)}."
        )
    return {key: speeds}


def _yes_no(key: str, text: str) -> dict[str, Any]:
    if text not in ("0", "1"):
        raise WrongCall(f"{key} in the practice URL is 0 or 1, got {_shown(text)}.")
    return {key: text == "1"}


def _offset(key: str, text: str) -> dict[str, Any]:
    if text in list(NewOffset):
        return {"new_offset": NewOffset(text)}
    if not _NUMBER.fullmatch(text) or not 0 <= float(text) < 1:
        raise WrongCall(
            f"{key} in the practice URL is {' or '.join(NewOffset)}, or a fraction of the frame from 0 to below 1, got "
            f"{_shown(text)}."
        )
    return {"offset": float(text)}


_OPTIONS: Mapping[str, _Reader] = {
    "seed": _seed,
    "flips": _flips,
    "control": _control,
    "clock_ppm": _number(-5_000, 5_000, "ppm"),
    "offset": _offset,
    "jitter_us": _number(0, 500, "µs"),
    "noise_us": _number(0, 50, "µs"),
    "dropout": _number(0, 0.5, "(a fraction of the pulses)"),
    "dead": _number(0, 1, "(a fraction of the flips)"),
    "glitch_per_s": _number(0, 20, "spikes a second"),
    "bounce_ms": _number(0, 5, "ms"),
    "dwell_s": _number(0.2, 60, "s"),
    "ramp_ms": _number(0, 10_000, "ms"),
    "step_us": _number(1, 1000, "µs"),
    "reverse": _yes_no,
    "invert": _yes_no,
    "reset_s": _number(0, 1_000_000, "s after opening"),
    "unplug_s": _number(0, 1_000_000, "s after opening"),
    "damage": _number(0, 1, "(a fraction of the frames)"),
    "motion": _motion,
    "expo": _number(-90, 90, "%"),
    "bow": _number(-20, 20, "% of the span"),
    "centre_flat": _number(0, 50, "% of the travel"),
    "dead_band": _number(0, 20, "% of the travel"),
    "hysteresis": _number(0, 20, "% of the span"),
    "clip": _number(0, 40, "% of the travel"),
    "resolution_us": _number(0, 50, "µs"),
    "stick_delay_ms": _number(0, 500, "ms"),
    "stick_age": _stick_age,
    "stroke_s": _number(0.5, 60, "s"),
    "speed_spread": _number(0, 0.9, "(a fraction of the usual speed)"),
    "speeds": _speeds,
    "rest_s": _number(0, 10, "s"),
    "cycles": _counted(1, 1000, "full cycles"),
    "stops": _stops,
    "stop_s": _number(0.2, 600, "s"),
    "place": _number(0, 1, "(a fraction of the travel)"),
}
