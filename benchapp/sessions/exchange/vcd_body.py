"""The value changes of a VCD file, text to arrays, a megabyte at a time."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any, cast

import numpy as np
from numpy.typing import NDArray

from benchapp.sessions.exchange.decimals import PAD, Bytes, Places, floats, whole_numbers, words_of
from benchapp.sessions.exchange.identifiers import Identifiers
from benchapp.sessions.exchange.refusal import line_at, refused, shown
from benchapp.sessions.exchange.states import UNKNOWN
from benchapp.sessions.exchange.vcd_header import Shape

_CHUNK = 1 << 20  # bytes at a time: scratch arrays stay near the cache, and memory bounded
_BAD, _TIME, _SCALAR, _PAIR, _KEYWORD, _SECOND = range(6)
_KNOWN_KEYWORDS = frozenset((b"$end", b"$dumpvars", b"$dumpall", b"$dumpon", b"$dumpoff", b"$vcdclose"))
_COMMENT = re.compile(rb"(?<!\S)\$comment(?=\s).*?(?<=\s)\$end(?!\S)", re.DOTALL)
_STATE_BYTES = b"01xXzZ"


def _table(fill: int, marks: dict[bytes, int]) -> Bytes:
    table = np.full(256, fill, dtype=np.uint8)
    for letters, mark in marks.items():
        table[list(letters)] = mark
    return table


_KIND = _table(_BAD, {b"#": _TIME, _STATE_BYTES: _SCALAR, b"bBrRsS": _PAIR, b"$": _KEYWORD})
_STATE = _table(UNKNOWN, {b"0": 0, b"1": 1})


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Changes:
    """The values of one identifier: ticks int64, (n,), and states uint8 or volts float64, (n,)."""

    ticks: NDArray[np.int64]
    values: NDArray[np.uint8] | NDArray[np.float64]


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Body:
    """Every identifier's changes, in the order the identifiers were given, and the first and last time."""

    changes: tuple[Changes, ...]
    first_tick: int
    last_tick: int


def read_body(data: bytes, begin: int, codes: list[tuple[bytes, Shape]], *, file: str) -> Body:
    """Return the value changes from byte `begin` on for distinct identifiers.

    Values before the first time stand at tick 0, or at the first time where that is negative.
    Raises WrongInput with the line of the first thing that cannot be read, and for a time that runs backwards.
    """
    return _Reader(data, begin, codes, file).read()


def _without_comments(data: bytes, begin: int) -> bytes:
    """Return the data with the body's comments blanked (line ends kept) and room behind for eight-byte loads."""
    tail = b"\n" + b" " * PAD
    if data.find(b"$comment", begin) < 0:
        return data + tail
    blank = _COMMENT.sub(lambda found: b" " + b"\n" * found.group().count(b"\n"), data[begin:])
    return data[:begin] + blank + tail


@dataclass(frozen=True, slots=True, eq=False)
class _Tokens:
    """The words of a chunk; keys are a word's first byte and kinds what it is by that byte."""

    starts: Places
    ends: Places
    firsts: Bytes
    kinds: Bytes


class _Reader:
    """Walks the body; the state between chunks is the time, and whether a time was seen."""

    def __init__(self, data: bytes, begin: int, codes: list[tuple[bytes, Shape]], file: str) -> None:
        self._data = _without_comments(data, begin)
        self._begin = begin
        self._stop = len(self._data) - PAD
        self._file = file
        self._text = np.frombuffer(self._data, dtype=np.uint8)
        self._words = words_of(self._text)
        self._shapes = [shape for _, shape in codes]
        self._codes = Identifiers([code for code, _ in codes])
        self._is_wire = np.array([shape is Shape.WIRE for shape in self._shapes], dtype=bool)
        self._is_real = np.array([shape is Shape.REAL for shape in self._shapes], dtype=bool)
        self._ticks: list[list[NDArray[np.int64]]] = [[] for _ in codes]
        self._values: list[list[NDArray[np.uint8] | NDArray[np.float64]]] = [[] for _ in codes]
        self._first: int | None = None
        self._now: int | None = None
        self._timed = False
        self._faults: list[tuple[int, str]] = []

    def read(self) -> Body:
        """Return everything."""
        for tokens in self._chunks():
            self._take(tokens)
            if self._faults:
                position, reason = min(self._faults)
                raise refused(self._file, line_at(self._data, position), reason)
        if not self._timed or self._now is None or self._first is None:
            raise refused(self._file, None, "no time (#…) follows the declarations: nothing was captured")
        changes = tuple(
            Changes(ticks=_joined(ticks, np.int64), values=_joined(values, np.float64 if real else np.uint8))
            for ticks, values, real in zip(self._ticks, self._values, self._is_real.tolist(), strict=True)
        )
        return Body(changes=changes, first_tick=self._first, last_tick=self._now)

    # -- words ---------------------------------------------------------------------------------------------------

    def _chunks(self) -> Iterator[_Tokens]:
        low = self._begin
        size = _CHUNK
        while low < self._stop:
            cut = self._data.find(b"\n", min(low + size, self._stop), self._stop)
            high = self._stop if cut < 0 else cut
            tokens = self._split(low, high)
            if tokens.starts.size and self._is_open(tokens):
                # the last word wants an identifier behind it: leave it to the next chunk, with more text
                opening = int(tokens.starts[-1])
                if high == self._stop:
                    word = self._word(tokens, tokens.starts.size - 1)
                    raise refused(
                        self._file, line_at(self._data, opening), f"the value {word} has no identifier behind it"
                    )
                tokens = _Tokens(tokens.starts[:-1], tokens.ends[:-1], tokens.firsts[:-1], tokens.kinds[:-1])
                size = max(size, 2 * (high - opening))
                high = opening
            else:
                size = _CHUNK
            if tokens.starts.size:
                yield tokens
            low = high

    def _split(self, low: int, high: int) -> _Tokens:
        span = self._text[low:high]
        if ((span < 9) | ((span > 13) & (span < 32))).any():
            at = low + int(np.argmax((span < 9) | ((span > 13) & (span < 32))))
            raise refused(self._file, line_at(self._data, at), f"expected text, got a byte of value {self._data[at]}")
        blank = span <= 32
        turns = np.flatnonzero(blank[1:] != blank[:-1])
        turns += low + 1
        if span.size and not blank[0]:
            turns = np.concatenate(([low], turns))
        if turns.size % 2:
            turns = np.append(turns, high)
        starts, ends = turns[0::2], turns[1::2]
        firsts = self._text[starts]
        kinds = _KIND[firsts]
        pairs = kinds == _PAIR
        if pairs.any():
            kinds[_behind_pairs(pairs)] = _SECOND
        return _Tokens(starts, ends, firsts, kinds)

    @staticmethod
    def _is_open(tokens: _Tokens) -> bool:
        return bool(tokens.kinds[-1] == _PAIR)

    def _word(self, tokens: _Tokens, row: int) -> str:
        return shown(bytes(self._text[tokens.starts[row] : tokens.ends[row]]))

    # -- meaning -------------------------------------------------------------------------------------------------

    def _take(self, tokens: _Tokens) -> None:
        times = tokens.kinds == _TIME
        rows = np.flatnonzero(times)
        ticks = self._times(tokens, rows)
        before = self._now if self._now is not None else min(0, int(ticks[0]) if ticks.size else 0)
        if self._first is None:
            values = np.flatnonzero((tokens.kinds == _SCALAR) | (tokens.kinds == _PAIR))
            if values.size and (not rows.size or values[0] < rows[0]):
                self._first = before
            elif rows.size:
                self._first = int(ticks[0])
        clock = np.concatenate(([before], ticks))
        self._odd_words(tokens)
        at = np.cumsum(times)
        self._scalars(tokens, clock, at)
        self._pairs(tokens, clock, at)
        self._timed |= ticks.size > 0
        if self._first is not None:
            self._now = int(clock[-1])

    def _times(self, tokens: _Tokens, rows: Places) -> NDArray[np.int64]:
        starts, ends = tokens.starts[rows] + 1, tokens.ends[rows]
        ticks, good = whole_numbers(self._words, starts, ends)
        if not good.all():
            self._odd_times(starts, ends, ticks, good)
        if rows.size:
            previous = self._now if self._now is not None else int(ticks[0])
            back = np.flatnonzero(ticks < np.concatenate(([previous], ticks[:-1])))
            if back.size:
                row = int(back[0])
                before = int(ticks[row - 1]) if row else previous
                self._faults.append(
                    (int(starts[row]), f"the time runs backwards, from #{before} to #{int(ticks[row])}")
                )
        return ticks

    def _odd_times(self, starts: Places, ends: Places, ticks: NDArray[np.int64], good: NDArray[np.bool_]) -> None:
        """Read the times that are no 1 to 18 plain digits one by one, negative ones included."""
        for row in np.flatnonzero(~good).tolist():
            word = bytes(self._text[starts[row] : ends[row]])
            digits = word.removeprefix(b"-")
            if digits.isdigit() and len(digits.lstrip(b"0")) <= 19 and abs(int(word)) < 1 << 63:
                ticks[row] = int(word)
                continue
            reason = "is beyond 64 bits" if digits.isdigit() else "is no whole number"
            self._faults.append(
                (int(starts[row]), f"expected a time such as #1200, got {shown(b'#' + word)}, which {reason}")
            )
            ticks[row] = ticks[row - 1] if row else self._now or 0

    def _odd_words(self, tokens: _Tokens) -> None:
        odd = np.flatnonzero((tokens.kinds == _BAD) | (tokens.kinds == _KEYWORD))
        for row in odd.tolist():
            word = bytes(self._text[tokens.starts[row] : tokens.ends[row]])
            if word in _KNOWN_KEYWORDS:
                continue
            if word == b"$comment":
                reason = "a $comment that is never closed with $end"
            else:
                reason = f"expected a time (#…), a value (0, 1, x, z, b… or r…) or a $ command, got {shown(word)}"
            self._faults.append((int(tokens.starts[row]), reason))
            return

    def _scalars(self, tokens: _Tokens, clock: NDArray[np.int64], at: Places) -> None:
        rows = np.flatnonzero(tokens.kinds == _SCALAR)
        places = self._places(tokens.starts[rows] + 1, tokens.ends[rows], tokens.starts[rows])
        states = _STATE[tokens.firsts[rows]]
        wrong = np.flatnonzero(self._is_real[places] & (places >= 0)) if places.size else rows
        if wrong.size:
            self._misfit(tokens, rows[wrong[0]], "a real variable wants r and a number")
        rows, places, states = self._with_bit_strings(tokens, rows, places, states)
        self._store(self._is_wire, places, clock[at[rows]], states)

    def _with_bit_strings(
        self, tokens: _Tokens, rows: Places, places: NDArray[np.int32], states: Bytes
    ) -> tuple[Places, NDArray[np.int32], Bytes]:
        """Add the values of one-bit wires that are written as bit strings (b1 !), in their order."""
        bits = np.flatnonzero((tokens.kinds == _PAIR) & ((tokens.firsts | 0x20) == ord("b")))
        if not bits.size:
            return rows, places, states
        bit_places = self._places(tokens.starts[bits + 1], tokens.ends[bits + 1], tokens.starts[bits])
        of_wires = self._is_wire[bit_places] & (bit_places >= 0)
        real = np.flatnonzero(self._is_real[bit_places] & (bit_places >= 0))
        if real.size:
            self._misfit(tokens, bits[real[0]], "a real variable wants r and a number")
        bits, bit_places = bits[of_wires], bit_places[of_wires]
        letters = self._text[tokens.starts[bits] + 1]
        odd = (tokens.ends[bits] - tokens.starts[bits] != 2) | ~np.isin(letters, list(_STATE_BYTES))
        if odd.any():
            self._misfit(tokens, bits[np.argmax(odd)], "a one-bit wire wants one of 0, 1, x, z")
        all_rows = np.concatenate((rows, bits))
        order = np.argsort(all_rows, kind="stable")
        return (
            all_rows[order],
            np.concatenate((places, bit_places))[order],
            np.concatenate((states, _STATE[letters]))[order],
        )

    def _pairs(self, tokens: _Tokens, clock: NDArray[np.int64], at: Places) -> None:
        rows = np.flatnonzero((tokens.kinds == _PAIR) & ((tokens.firsts | 0x20) != ord("b")))
        if not rows.size:
            return
        places = self._places(tokens.starts[rows + 1], tokens.ends[rows + 1], tokens.starts[rows])
        wires = np.flatnonzero(self._is_wire[places] & (places >= 0))
        if wires.size:
            self._misfit(tokens, rows[wires[0]], "a wire wants one of 0, 1, x, z")
        real = self._is_real[places] & (places >= 0)
        rows, places = rows[real], places[real]
        volts, wrong = floats(self._text, tokens.starts[rows] + 1, tokens.ends[rows])
        for row in wrong.tolist():
            text = bytes(self._text[tokens.starts[rows[row]] + 1 : tokens.ends[rows[row]]])
            if text.lower().lstrip(b"+-") == b"nan":
                volts[row] = np.nan
            else:
                self._misfit(tokens, rows[row], "expected a finite decimal number behind r")
                break
        self._store(self._is_real, places, clock[at[rows]], volts)

    def _places(self, starts: Places, ends: Places, words_at: Places) -> NDArray[np.int32]:
        places = self._codes.places(self._text, self._words, starts, ends)
        if places.size and int(places.min()) < 0:
            row = int(np.argmax(places < 0))
            code = bytes(self._text[starts[row] : ends[row]])
            word = bytes(self._text[words_at[row] : ends[row]])
            reason = "a value without an identifier"
            if code:
                reason = f"no $var declares the identifier {shown(code)} of the value {shown(word)}"
            self._faults.append((int(words_at[row]), reason))
        return places

    def _misfit(self, tokens: _Tokens, row: int, wanted: str) -> None:
        words = self._text[tokens.starts[row] : tokens.ends[row]]
        self._faults.append((int(tokens.starts[row]), f"{wanted}, got {shown(bytes(words))}"))

    def _store(
        self,
        wanted: NDArray[np.bool_],
        places: NDArray[np.int32],
        ticks: NDArray[np.int64],
        values: NDArray[np.uint8] | NDArray[np.float64],
    ) -> None:
        if not places.size or self._faults:
            return
        if len(self._shapes) <= 8:
            for place in np.flatnonzero(wanted).tolist():
                rows = np.flatnonzero(places == place)
                if rows.size:
                    self._ticks[place].append(ticks[rows])
                    self._values[place].append(values[rows])
            return
        order = np.argsort(places.astype(np.uint16) if len(self._shapes) < 1 << 16 else places, kind="stable")
        ordered = places[order]
        bounds = np.concatenate(([0], np.flatnonzero(ordered[1:] != ordered[:-1]) + 1, [ordered.size]))
        for low, high in zip(bounds[:-1].tolist(), bounds[1:].tolist(), strict=True):
            place = int(ordered[low])
            if wanted[place]:
                self._ticks[place].append(ticks[order[low:high]])
                self._values[place].append(values[order[low:high]])


def _behind_pairs(pairs: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Return which words are the identifier behind a value that is a word of its own.

    An identifier may itself look like such a value (r1.5 b), so in a row of look-alikes every second one is meant.
    """
    behind = np.zeros(pairs.size, dtype=bool)
    behind[1:] = pairs[:-1]
    if not (behind & pairs).any():
        return behind
    places = np.arange(pairs.size)
    last_other = np.maximum.accumulate(np.where(pairs, -1, places))
    run_before = np.zeros(pairs.size, dtype=np.int64)
    run_before[1:] = (places - last_other)[:-1]
    return cast("NDArray[np.bool_]", run_before % 2 == 1)


def _joined(parts: Sequence[NDArray[Any]], dtype: type[np.generic]) -> NDArray[Any]:
    return np.concatenate(parts) if parts else np.empty(0, dtype=dtype)
