"""Decimal numbers out of bytes, exactly and many at a time."""

import re
from decimal import MAX_EMAX, MAX_PREC, MIN_EMIN, ROUND_HALF_EVEN, Context, Decimal

import numpy as np
from numpy.typing import NDArray

Bytes = NDArray[np.uint8]
Places = NDArray[np.int64]

PAD = 32
"""Bytes that must stand before and behind the fields, so that eight-byte loads stay inside the text."""
NS_LIMIT = 1 << 62
"""The largest stamp taken, in ns: 146 years either way; sums and differences of two still fit 64 bits."""

_NUMBER = re.compile(rb"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?")
_IN_NUMBERS = np.isin(np.arange(256), list(b"\x000123456789+-.eE"))  # 0 stands behind a short field
_BLOCK = 1 << 15  # fields at a time: the character matrix then stays in the second-level cache
_WIDEST = 24  # characters read many at a time; longer numbers are read one by one
_MOST_DIGITS = 18  # any 18 digits fit 63 bits
_EXACT = Context(prec=MAX_PREC, Emax=MAX_EMAX, Emin=MIN_EMIN)  # never rounds


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


def _letters_between(text: Bytes, starts: Places, ends: Places) -> Bytes:
    """Return the first 24 characters of fields, one row a character, one column a field; 0 behind a field's end."""
    width = int(np.minimum(ends - starts, _WIDEST).max(initial=0))
    rows = np.arange(width)[:, None]
    letters: Bytes = text[starts + rows]
    letters[rows >= ends - starts] = 0
    return letters


def rounded_division(values: NDArray[np.int64], divisor: int) -> NDArray[np.int64]:
    """Return values / divisor to the nearest whole number, halves to the even one, exactly."""
    quotient, rest = np.divmod(values, divisor)
    double = rest * 2  # rest < divisor ≤ 10^18, so this fits
    up = (double > divisor) | ((double == divisor) & (quotient % 2 != 0))
    quotient += up
    return quotient


def nearest_ns(times: NDArray[np.float64], unit_exponent: int) -> tuple[NDArray[np.int64], NDArray[np.bool_]]:
    """Return decimals, read as the nearest doubles, in units of 10^unit_exponent ns as whole ns, and which are sure.

    Reading and scaling round once each, by at most 2^-53 of the value. Sure is a stamp that lies further than twice
    as much from the next half ns: then the decimal itself has the same nearest ns. nan and infinity never are.
    """
    with np.errstate(over="ignore", invalid="ignore"):
        scaled = times * 10.0**unit_exponent
        nearest = np.rint(scaled)
        sure = np.abs(scaled - nearest) + np.abs(scaled) * 2.0**-51 < 0.5
    return np.where(sure, nearest, 0.0).astype(np.int64), sure


def floats(text: Bytes, starts: Places, ends: Places) -> tuple[NDArray[np.float64], Places]:
    """Return the fields as the nearest doubles, and the numbers of the fields that are none."""
    values = np.full(starts.size, np.nan)
    for low in range(0, starts.size, _BLOCK):
        cut = slice(low, low + _BLOCK)
        values[cut] = _block(text, starts[cut], ends[cut])
    wrong = []
    for row in np.flatnonzero(~np.isfinite(values)).tolist():
        value = float_of(bytes(text[starts[row] : ends[row]]))
        if value is None:
            wrong.append(row)
        else:
            values[row] = value
    return values, np.array(wrong, dtype=np.int64)


def _block(text: Bytes, starts: Places, ends: Places) -> NDArray[np.float64]:
    """Return fields as doubles; nan for those that must be looked at by themselves."""
    letters = _letters_between(text, starts, ends)
    if not letters.size:
        return np.full(starts.size, np.nan)
    # fewer letters than the field is long: it is too long, or a NUL stands in it
    plain = _IN_NUMBERS[letters].all(axis=0) & ((letters != 0).sum(axis=0) == ends - starts) & (ends > starts)
    letters[:, ~plain] = 0
    letters[0, ~plain] = ord("0")
    try:
        values = np.ascontiguousarray(letters.T).view(f"S{letters.shape[0]}").ravel().astype(np.float64)
    except ValueError:
        return np.full(starts.size, np.nan)
    values[~plain] = np.nan
    return values


def float_of(field: bytes, *, comma: bool = False) -> float | None:
    """Return one field as a double, or None if it is no finite decimal number."""
    plain = field.replace(b",", b".") if comma else field
    if not _NUMBER.fullmatch(plain):
        return None
    value = float(plain)
    return value if abs(value) != float("inf") else None


def ns_of(field: bytes, unit_exponent: int, *, comma: bool = False) -> int | None:
    """Return one field in units of 10^unit_exponent ns as whole ns, or None if it is no number or too large."""
    size = float_of(field, comma=comma)
    if size is None or abs(size) > NS_LIMIT:
        return None
    if abs(size) < 1e-12:  # far below half a ns in any unit, and perhaps of more places than a Decimal can have
        return 0
    number = Decimal(field.replace(b",", b".").decode("ascii"))
    value = int(_EXACT.scaleb(number, unit_exponent).to_integral_value(ROUND_HALF_EVEN))
    return value if abs(value) < NS_LIMIT else None
