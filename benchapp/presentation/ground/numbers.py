"""Numbers as people read them: rounded by their uncertainty, with a unit, never a bare NaN."""

import math
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from datetime import datetime
from decimal import ROUND_HALF_EVEN, Decimal
from typing import TypeGuard

DASH = "–"
"""Stands where a value does not exist; the reason stands beside or below it."""
MINUS = "−"
THIN = "\u202f"
"""A narrow no-break blank, between the thousands of large counts."""
NBSP = "\u00a0"
"""A no-break blank, between a value and its unit."""

_DECIMAL_MARK: ContextVar[str] = ContextVar("decimal mark", default=".")
"""Files are written with a point wherever they are made; a screen with its system's mark. The window sets it and its
worker inherits it; whatever writes a file puts the point back. Sentences that state a rule of the method keep their
point."""

_LARGE = 1e9
_MOST_PLACES = 9
_WORDS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")


def decimal_mark() -> str:
    """Return what stands between whole numbers and their fractions where numbers are written now."""
    return _DECIMAL_MARK.get()


def use_decimal_mark(mark: str) -> None:
    """Write numbers with this mark from now on: in this thread, and in the work it hands on."""
    _DECIMAL_MARK.set(mark)


@contextmanager
def written_with(mark: str) -> Iterator[None]:
    """Write numbers with this mark while the context lasts."""
    before = _DECIMAL_MARK.set(mark)
    try:
        yield
    finally:
        _DECIMAL_MARK.reset(before)


def marked(number: str) -> str:
    """Return a number that was written with a point as numbers are written now."""
    return number.replace(".", decimal_mark())


def for_spreadsheet(text: str) -> str:
    """Return a number as a spreadsheet of this system reads it: a plain minus, and its thousands not apart."""
    return text.replace(MINUS, "-").replace(THIN, "")


def exists(value: float | None) -> TypeGuard[float]:
    """Return whether there is a value to show: neither None nor NaN nor infinite."""
    return value is not None and math.isfinite(value)


def uncertainty_places(uncertainty: float | None, *, default: int = 2) -> int:
    """Return how many decimals show the uncertainty with two digits; negative: round to tens or hundreds.

    Two digits follow JCGM 100:2008, 7.2.6. `default` where there is no uncertainty above 0.
    """
    if not exists(uncertainty) or not 0 < uncertainty < _LARGE:
        return default
    places = 1 - math.floor(math.log10(uncertainty))
    # 0.0996 rounds up to 0.10: one place fewer keeps it at two digits.
    if round(uncertainty, places) >= 10.0 ** (2 - places):
        places -= 1
    return min(places, _MOST_PLACES)


def interval_places(interval: tuple[float | None, float | None], *, default: int = 2) -> int:
    """Return how many decimals show an interval's half-width with two digits; `default` where an end is missing."""
    low, high = interval
    if not exists(low) or not exists(high):
        return default
    return uncertainty_places((high - low) / 2, default=default)


def at_places(value: float | None, places: int) -> str:
    """Return the number at that many decimals (negative: to tens, hundreds …), or a dash where there is none."""
    if not exists(value):
        return DASH
    if abs(value) >= _LARGE:
        return marked(f"{value:.4g}".replace("-", MINUS))
    rounded = Decimal(repr(float(value))).quantize(Decimal(1).scaleb(-places), rounding=ROUND_HALF_EVEN)
    if rounded == 0:
        rounded = abs(rounded)
    return marked(f"{rounded:f}".replace("-", MINUS))


def value_and_u(value: float | None, uncertainty: float | None) -> tuple[str, str]:
    """Return value and uncertainty as text: two digits of uncertainty, the value at the same place."""
    places = uncertainty_places(uncertainty)
    return at_places(value, places), at_places(uncertainty, places)


def with_unit(value: float | None, places: int, unit: str) -> str:
    """Return "24.31 ms", or a dash where there is no value."""
    text = at_places(value, places)
    return text if text == DASH else f"{text}{NBSP}{unit}"


def give_or_take(value: float | None, uncertainty: float | None, unit: str) -> str:
    """Return "24.31 ms, give or take 0.58 ms"; without the uncertainty where there is none."""
    shown, spread = value_and_u(value, uncertainty)
    if shown == DASH:
        return DASH
    if spread == DASH:
        return f"{shown}{NBSP}{unit}"
    return f"{shown}{NBSP}{unit}, give or take {spread}{NBSP}{unit}"


def known(value: float | None, uncertainty: float | None, unit: str, *, figures: int = 4) -> str:
    """Return the value alone, to the last digit that its expanded uncertainty leaves a meaning, with its unit.

    That is the place of the uncertainty's first digit: "22.500 ms" for ± 0.007 ms. Where no uncertainty is known, so
    many significant figures. Beside a printed uncertainty `value_and_u` goes one digit further.
    """
    if not exists(value) or not exists(uncertainty) or not 0 < uncertainty < _LARGE:
        return digits(value, figures, unit)
    return with_unit(value, uncertainty_places(uncertainty) - 1, unit)


def span(low: float | None, high: float | None, places: int, unit: str) -> str:
    """Return "23.1 to 25.4 ms"; a missing end is said in words."""
    low_text, high_text = at_places(low, places), at_places(high, places)
    if low_text == DASH and high_text == DASH:
        return DASH
    if high_text == DASH:
        return f"{low_text}{NBSP}{unit} or more"
    if low_text == DASH:
        return f"up to {high_text}{NBSP}{unit}"
    return f"{low_text} to {high_text}{NBSP}{unit}"


def digits(value: float | None, figures: int, unit: str) -> str:
    """Return the value with that many significant figures, plainly written, and its unit."""
    if not exists(value):
        return DASH
    if value == 0:
        return f"0{NBSP}{unit}"
    if abs(value) >= _LARGE:
        return with_unit(value, 0, unit)
    places = figures - 1 - math.floor(math.log10(abs(value)))
    if round(abs(value), places) >= 10.0 ** (figures - places):
        places -= 1
    return with_unit(value, min(places, _MOST_PLACES), unit)


def plainly(value: float | None, figures: int, unit: str) -> str:
    """Return the value as `digits` does, without zeros at the end: "0.5 s", "22.5 ms"."""
    number, gap, tail = digits(value, figures, unit).partition(NBSP)
    if decimal_mark() in number:
        number = number.rstrip("0").rstrip(decimal_mark())
    return f"{number}{gap}{tail}"


def percent(share: float | None, *, figures: int = 2) -> str:
    """Return a fraction as "8.2 %"; whole numbers from 10 % on."""
    if not exists(share):
        return DASH
    value = 100.0 * share
    if value and abs(value) < 10:
        return plainly(value, figures, "%")
    return with_unit(value, 0, "%")


def counted(number: int, one: str, many: str | None = None) -> str:
    """Return "1 flip", "58 flips", "1 000 flips"."""
    return f"{grouped(number)} {one if number == 1 else (many or one + 's')}"


def grouped(number: int) -> str:
    """Return a whole number with its thousands set apart: "12 345"."""
    text = f"{number:,}".replace(",", THIN)
    return text.replace("-", MINUS)


def in_words(number: int) -> str:
    """Return small whole numbers as words ("three"), others as digits."""
    return _WORDS[number] if 0 <= number < len(_WORDS) else grouped(number)


def sentence_start(text: str) -> str:
    """Return the text with its first letter as a capital."""
    return text[:1].upper() + text[1:]


def when(started: str | None) -> str:
    """Return "25 November 2026, 09:15 (UTC+01:00)" for an ISO 8601 date, or words where there is none."""
    if not started:
        return "no date stated"
    try:
        moment = datetime.fromisoformat(started)
    except ValueError:
        return "a date that cannot be read"
    months = (
        "January", "February", "March", "April", "May", "June",
        "July", "August", "September", "October", "November", "December",
    )  # fmt: skip
    day = f"{moment.day} {months[moment.month - 1]} {moment.year}, {moment.hour:02d}:{moment.minute:02d}"
    offset = moment.strftime("%z")
    if not offset:
        return f"{day} (time zone not stated)"
    return f"{day} (UTC{offset[:3]}:{offset[3:5]})"


def duration(seconds: float | None) -> str:
    """Return "41 s", "3 min 05 s" or "1 h 02 min"."""
    if not exists(seconds):
        return DASH
    if seconds < 60:
        return digits(seconds, 2, "s") if seconds < 10 else with_unit(seconds, 0, "s")
    whole = round(seconds)
    if whole < 3600:
        return f"{whole // 60}{NBSP}min {whole % 60:02d}{NBSP}s"
    return f"{whole // 3600}{NBSP}h {whole % 3600 // 60:02d}{NBSP}min"
