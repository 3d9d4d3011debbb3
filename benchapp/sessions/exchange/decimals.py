"""Decimal numbers out of bytes, exactly and many at a time."""

import re
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

Bytes = NDArray[np.uint8]
Places = NDArray[np.int64]

PAD = 32
"""Bytes that must stand before and behind the fields, so that eight-byte loads stay inside the text."""
NS_LIMIT = 1 << 62
"""The largest stamp taken, in ns: 146 years either way; sums and differences of two still fit 64 bits."""

_NUMBER = re.compile(rb"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d{1,4})?")
_BLOCK = 1 << 15  # fields at a time: the character matrix then stays in the second-level cache
_WIDEST = 24  # characters read by columns; longer numbers are read one by one
_MOST_DIGITS = 18  # any 18 digits fit 63 bits
_TENS = 10 ** np.arange(19, dtype=np.int64)
_EXACT_TENS = np.array([float(10**power) for power in range(23)])  # every one a double without rounding


def words_of(text: Bytes) -> NDArray[np.uint64]:
    """Return the eight bytes from every position on as one little-endian number, without copying."""
    return np.ndarray((text.size - 7,), "<u8", buffer=text.data, strides=(1,))


def whole_numbers(
    words: NDArray[np.uint64], starts: Places, ends: Places
) -> tuple[NDArray[np.int64], NDArray[np.bool_]]:
    """Return the values of fields of plain digits, and which fields were so: 1 to 18 digits and nothing else.

    Eight characters at a time: neighbouring digits, pairs and quads are joined by multiplying (a well-known trick).
    """
    lengths = ends - starts
    good = (lengths > 0) & (lengths <= _MOST_DIGITS)
    values = np.zeros(starts.size, dtype=np.int64)
    longest = int(lengths.max(initial=0))
    for part in range(min((longest + 7) // 8, 3)):
        part_length = np.clip(lengths - 8 * part, 0, 8)
        # part_length 0 shifts by 64, which is undefined: such fields are masked out below
        word = words[np.maximum(ends - 8 * (part + 1), 0)]
        word ^= np.uint64(0x3030303030303030)
        shift = ((8 - part_length) * 8).astype(np.uint64)
        np.minimum(shift, np.uint64(63), out=shift)
        word >>= shift
        word <<= shift
        if part:
            word[part_length == 0] = 0
        high = (word + np.uint64(0x7676767676767676)) | word
        good &= (high & np.uint64(0x8080808080808080)) == 0
        word = (word * np.uint64(2561)) >> np.uint64(8)
        word &= np.uint64(0x00FF00FF00FF00FF)
        word = (word * np.uint64(6553601)) >> np.uint64(16)
        word &= np.uint64(0x0000FFFF0000FFFF)
        word = (word * np.uint64(42949672960001)) >> np.uint64(32)
        values += word.astype(np.int64) * int(10 ** (8 * part))
    return values, good


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Decimals:
    """Numbers as mantissa · 10^−places, where good; formed: a decimal number, but perhaps of too many digits.

    A field that is not formed is no number, or one longer than 24 characters: it must be read by itself.
    """

    mantissa: NDArray[np.int64]
    places: NDArray[np.int64]
    good: NDArray[np.bool_]
    formed: NDArray[np.bool_]


def read_decimals(text: Bytes, starts: Places, ends: Places, *, comma: bool = False) -> Decimals:
    """Return the numbers in fields such as -12.5, .5, 3e-6; with comma, 12,5 is taken as well."""
    n = starts.size
    mantissa = np.zeros(n, dtype=np.int64)
    places = np.zeros(n, dtype=np.int64)
    good = np.zeros(n, dtype=bool)
    formed = np.zeros(n, dtype=bool)
    for low in range(0, n, _BLOCK):
        cut = slice(low, low + _BLOCK)
        block = _block(text, starts[cut], ends[cut], comma)
        mantissa[cut], places[cut], good[cut], formed[cut] = block.mantissa, block.places, block.good, block.formed
    return Decimals(mantissa=mantissa, places=places, good=good, formed=formed)


def _block(text: Bytes, starts: Places, ends: Places, comma: bool) -> Decimals:
    letters = letters_between(text, starts, ends)
    is_e = (letters | 0x20) == ord("e")
    if not is_e.any():
        return _plain(letters, ends - starts, comma)
    has = is_e.any(axis=0)
    mantissa_lengths = np.where(has, is_e.argmax(axis=0), ends - starts)
    letters[np.arange(letters.shape[0])[:, None] >= mantissa_lengths] = 0
    base = _plain(letters, mantissa_lengths, comma)
    rows = np.flatnonzero(has)
    after_e = starts[rows] + mantissa_lengths[rows] + 1
    power_letters = letters_between(text, after_e, ends[rows])
    power = _plain(power_letters, ends[rows] - after_e, comma=False)
    whole = power.good & ~(power_letters == ord(".")).any(axis=0) & (np.abs(power.mantissa) < 1000)
    base.formed[rows] &= whole & (ends[rows] - starts[rows] <= _WIDEST)
    base.places[rows] -= np.where(whole, power.mantissa, 0)
    np.logical_and(base.good, base.formed, out=base.good)
    return base


def letters_between(text: Bytes, starts: Places, ends: Places) -> Bytes:
    """Return the first 24 characters of fields, one row a character, one column a field; 0 behind a field's end."""
    width = int(np.minimum(ends - starts, _WIDEST).max(initial=0))
    rows = np.arange(width)[:, None]
    letters: Bytes = text[starts + rows]
    letters[rows >= ends - starts] = 0
    return letters


def _plain(letters: Bytes, lengths: Places, comma: bool) -> Decimals:
    """Walk the columns of a character matrix, all fields at once: sign, digits, a point, digits."""
    n = lengths.size
    mantissa = np.zeros(n, dtype=np.int64)
    # counters of a byte each: at most 24 characters, and four times as fast as wide ones
    places, digits = np.zeros(n, dtype=np.uint8), np.zeros(n, dtype=np.uint8)
    short_lengths = np.clip(lengths, 0, 255).astype(np.uint8)
    dotted, negative = np.zeros(n, dtype=bool), np.zeros(n, dtype=bool)
    formed = (lengths > 0) & (lengths <= _WIDEST)
    for place, letter in enumerate(letters):
        digit = letter - np.uint8(48)
        is_digit = digit < 10
        if is_digit.all():
            mantissa *= 10
            mantissa += digit
        elif is_digit.any():
            mantissa *= np.where(is_digit, np.uint8(10), np.uint8(1))
            mantissa += digit * is_digit
        digits += is_digit
        places += is_digit & dotted
        is_point = letter == ord(".")
        if comma:
            is_point |= letter == ord(",")
        # a NUL inside a field would look like the filler behind it
        allowed = is_digit | (is_point & ~dotted) | (short_lengths <= place)
        dotted |= is_point
        if place == 0:
            negative = letter == ord("-")
            allowed |= negative | (letter == ord("+"))
        formed &= allowed
    formed &= digits > 0
    np.negative(mantissa, out=mantissa, where=negative)
    good = formed & (digits <= _MOST_DIGITS)
    return Decimals(mantissa=mantissa, places=places.astype(np.int64), good=good, formed=formed)


def rounded_division(values: NDArray[np.int64], divisor: int) -> NDArray[np.int64]:
    """Return values / divisor to the nearest whole number, halves to the even one, exactly."""
    quotient, rest = np.divmod(values, divisor)
    double = rest * 2  # rest < divisor ≤ 10^18, so this fits
    up = (double > divisor) | ((double == divisor) & (quotient % 2 != 0))
    quotient += up
    return quotient


def scaled_to_ns(numbers: Decimals, unit_exponent: int) -> tuple[NDArray[np.int64], NDArray[np.bool_]]:
    """Return decimals in units of 10^unit_exponent ns as whole ns, nearest, and which of them fitted."""
    shift = unit_exponent - numbers.places
    out = np.zeros(shift.size, dtype=np.int64)
    good = numbers.good.copy()
    for step in np.unique(shift[good]).tolist():
        rows = good & (shift == step)
        values = numbers.mantissa[rows]
        if step >= 0:
            fits = (values == 0) | ((step < 19) & (np.abs(values) < NS_LIMIT // 10 ** min(step, 18)))
            out[rows] = np.where(fits, values * _TENS[min(step, 18)], 0)
            good[rows] = fits
        elif step >= -18:
            out[rows] = rounded_division(values, 10**-step)
            good[rows] = np.abs(out[rows]) < NS_LIMIT
        else:
            good[rows] = False
    return out, good


def floats(text: Bytes, starts: Places, ends: Places, *, comma: bool = False) -> tuple[NDArray[np.float64], Places]:
    """Return the fields as the nearest doubles, and the numbers of the fields that are none.

    A mantissa below 2^53 and a power of ten up to 22 are exact doubles, so one division rounds once and right;
    whatever lies beyond goes through numpy's or Python's own reading.
    """
    numbers = read_decimals(text, starts, ends, comma=comma)
    exact = numbers.good & (np.abs(numbers.mantissa) < 1 << 53) & (np.abs(numbers.places) <= 22)
    power = _EXACT_TENS[np.minimum(np.abs(numbers.places), 22)]
    mantissa = numbers.mantissa.astype(np.float64)
    values = np.where(numbers.places >= 0, mantissa / power, mantissa * power)
    # "-0.0" has mantissa 0 and would lose its sign; no reader cares, but a copy should be a copy
    values[(numbers.mantissa == 0) & exact & (text[starts] == ord("-"))] = -0.0
    many_digits = np.flatnonzero(numbers.formed & ~exact)
    values[many_digits] = _long_floats(text, starts[many_digits], ends[many_digits])
    wrong = []
    for row in np.flatnonzero(~numbers.formed | ~np.isfinite(values)).tolist():
        value = float_of(bytes(text[starts[row] : ends[row]]), comma=comma)
        if value is None:
            wrong.append(row)
        else:
            values[row] = value
    return values, np.array(wrong, dtype=np.int64)


def _long_floats(text: Bytes, starts: Places, ends: Places) -> NDArray[np.float64]:
    """Return well-formed numbers of up to 24 characters as the nearest doubles."""
    if not starts.size:
        return np.empty(0, dtype=np.float64)
    letters = letters_between(text, starts, ends)
    letters[letters == ord(",")] = ord(".")
    words = np.ascontiguousarray(letters.T).view(f"S{letters.shape[0]}").ravel()
    return words.astype(np.float64)


def float_of(field: bytes, *, comma: bool = False) -> float | None:
    """Return one field as a double, or None if it is no finite decimal number."""
    plain = field.replace(b",", b".") if comma else field
    if not _NUMBER.fullmatch(plain):
        return None
    value = float(plain)
    return value if abs(value) != float("inf") else None


def ns_of(field: bytes, unit_exponent: int, *, comma: bool = False) -> int | None:
    """Return one field in units of 10^unit_exponent ns as whole ns, or None if it is no number or too large."""
    plain = field.replace(b",", b".") if comma else field
    if not _NUMBER.fullmatch(plain):
        return None
    number = Decimal(plain.decode("ascii"))
    if number == 0 or number.adjusted() + unit_exponent < -2:
        return 0
    if number.adjusted() + unit_exponent > 19:
        return None
    value = round(Fraction(number) * Fraction(10) ** unit_exponent)
    return value if abs(value) < NS_LIMIT else None
