"""The settings of a run as the log keeps them: written in one place, read back without trust."""

import math
from collections.abc import Mapping

from benchapp.records.events import Json
from benchapp.records.run import RunSettings

MOST_STOPS = 1000
MOST_CORRECTION_MS = 1000.0
_MOST_DEG = 36_000.0


def settings_detail(settings: RunSettings) -> dict[str, Json]:
    """Return the settings as plain values; those of sweeps, holds and switch-ons only where they were asked for."""
    detail: dict[str, Json] = {
        "hold_off_ns": settings.hold_off_ns,
        "flips": settings.flips,
        "seconds": settings.seconds,
        "target_ms": settings.target_ms,
    }
    if settings.cycles is not None:
        detail["cycles"] = settings.cycles
    if settings.stops_deg:
        detail["stops_deg"] = list(settings.stops_deg)
    if settings.stop_half_width_deg is not None:
        detail["stop_half_width_deg"] = settings.stop_half_width_deg
    if settings.correction_ms is not None:
        detail["correction_ms"] = settings.correction_ms
        detail["correction_within_ms"] = settings.correction_within_ms
    if settings.positions is not None:
        detail["positions"] = settings.positions
    if settings.switch_ons is not None:
        detail["switch_ons"] = settings.switch_ons
    return detail


def settings_read(source: Mapping[str, Json]) -> RunSettings:
    """Return the settings as far as they can be read; what cannot be is as if it had not been asked for."""
    hold_off_ns = whole_or_none(source.get("hold_off_ns"))
    half_width = finite_or_none(source.get("stop_half_width_deg"))
    correction, within = _correction(source)
    return RunSettings(
        hold_off_ns=RunSettings().hold_off_ns if hold_off_ns is None or hold_off_ns < 0 else hold_off_ns,
        flips=whole_or_none(source.get("flips")),
        seconds=finite_or_none(source.get("seconds")),
        target_ms=finite_or_none(source.get("target_ms")),
        cycles=_counting(source.get("cycles")),
        stops_deg=_stops(source.get("stops_deg")),
        stop_half_width_deg=None if half_width is None or half_width < 0 else half_width,
        correction_ms=correction,
        correction_within_ms=within,
        positions=_counting(source.get("positions")),
        switch_ons=_counting(source.get("switch_ons")),
    )


def whole_or_none(value: object) -> int | None:
    """Return a whole number, None where the value is none."""
    return value if isinstance(value, int) and not isinstance(value, bool) else None


def finite_or_none(value: object) -> float | None:
    """Return a number, None where the value is none or not finite."""
    if not isinstance(value, int | float) or isinstance(value, bool):
        return None
    try:
        number = float(value)
    except OverflowError:
        return None
    return number if math.isfinite(number) else None


def _correction(source: Mapping[str, Json]) -> tuple[float | None, float | None]:
    """Return a correction and how far it may be off, [ms]; neither where one is not told or no latency is so long."""
    correction = finite_or_none(source.get("correction_ms"))
    within = finite_or_none(source.get("correction_within_ms"))
    if correction is None or within is None or abs(correction) > MOST_CORRECTION_MS:
        return None, None
    return (correction, within) if 0.0 <= within <= MOST_CORRECTION_MS else (None, None)


def _counting(value: object) -> int | None:
    number = whole_or_none(value)
    return number if number is not None and number > 0 else None


def _stops(value: object) -> tuple[float, ...]:
    if not isinstance(value, list) or len(value) > MOST_STOPS:
        return ()
    stops = [finite_or_none(item) for item in value]
    kept = tuple(stop for stop in stops if stop is not None and abs(stop) <= _MOST_DEG)
    return kept if len(kept) == len(value) else ()
