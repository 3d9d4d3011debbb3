"""A capture written as a VCD file (IEEE 1364) of 1 ns."""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from benchapp.records.stream import Levels
from benchapp.sessions.exchange.capture import Capture, CaptureLead
from benchapp.sessions.exchange.column_names import vcd_names
from benchapp.sessions.exchange.notes import MARK, notes_text
from benchapp.sessions.exchange.sequence import state_sequence
from benchapp.sessions.exchange.states import UNKNOWN

_BLOCK = 1 << 16  # values a chunk of text
_STATE_LETTERS = {0: "0", 1: "1", UNKNOWN: "x"}


def write_vcd(capture: Capture) -> Iterator[bytes]:
    """Yield a capture as a VCD file, piece by piece, each ending on a whole line; read back it is the same capture.

    Names are made plain ASCII; the leads' own names, their descriptors, flags of stamps and the runs stand in a
    comment. Times of a VCD are never negative: where the capture begins before 0 the file begins at 0, and its notes
    say at which ns that is. Gaps of on-off leads are x; those of leads in volts stand in the notes alone, as a real
    has no x.
    """
    origin_ns = min(0, capture.start_ns)
    columns = vcd_names([lead.name for lead in capture.leads])
    codes = [_code(place) for place in range(len(capture.leads))]
    yield _header(capture, columns, codes, origin_ns).encode("ascii")
    times, words = _values(capture, codes)
    times = times - origin_ns
    now: int | None = capture.start_ns - origin_ns
    yield f"#{now}\n".encode("ascii")
    order = np.argsort(times, kind="stable")
    for low in range(0, order.size, _BLOCK):
        block = order[low : low + _BLOCK]
        lines: list[str] = []
        for time, word in zip(times[block].tolist(), words[block].tolist(), strict=True):
            if time != now:
                lines.append(f"#{time}")
                now = time
            lines.append(word)
        lines.append("")
        yield "\n".join(lines).encode("ascii")
    if now != capture.stop_ns - origin_ns:
        yield f"#{capture.stop_ns - origin_ns}\n".encode("ascii")


def _header(capture: Capture, columns: list[str], codes: list[str], origin_ns: int) -> str:
    lines = [
        *([f"$date {capture.started} $end"] if capture.started else []),
        "$version benchapp export $end",
        f"$comment {MARK} {notes_text(capture, columns, origin_ns=origin_ns)} $end",
        "$timescale 1 ns $end",
        "$scope module bench $end",
    ]
    for lead, column, code in zip(capture.leads, columns, codes, strict=True):
        kind = "wire 1" if lead.edges is not None else "real 64"
        lines.append(f"$var {kind} {code} {column} $end")
    return "\n".join([*lines, "$upscope $end", "$enddefinitions $end", ""])


def _code(place: int) -> str:
    """Return the identifier of a lead: ! to ~, then two letters, and so on; $ and # are left out, being marks."""
    letters = [chr(number) for number in range(33, 127) if chr(number) not in "#$"]
    code = ""
    while True:
        code = letters[place % len(letters)] + code
        place = place // len(letters) - 1
        if place < 0:
            return code


def _values(capture: Capture, codes: list[str]) -> tuple[NDArray[np.int64], NDArray[np.object_]]:
    """Return every value's time and line, lead by lead."""
    times: list[NDArray[np.int64]] = [np.empty(0, dtype=np.int64)]
    words: list[NDArray[np.object_]] = [np.empty(0, dtype=object)]
    for lead, code in zip(capture.leads, codes, strict=True):
        stamps, lines = _lead_values(lead, code, capture)
        times.append(stamps)
        words.append(lines)
    return np.concatenate(times), np.concatenate(words)


def _lead_values(lead: CaptureLead, code: str, capture: Capture) -> tuple[NDArray[np.int64], NDArray[np.object_]]:
    if lead.edges is not None:
        sequence = state_sequence(lead, lead.edges, capture.start_ns, capture.stop_ns)
        table = np.array([f"{letter}{code}" for letter in _STATE_LETTERS.values()], dtype=object)
        return sequence.times_ns, table[sequence.states]
    levels = lead.levels
    if levels is None:
        return np.empty(0, dtype=np.int64), np.empty(0, dtype=object)
    return levels.times_ns, _reals(levels, code)


def _reals(levels: Levels, code: str) -> NDArray[np.object_]:
    out = np.empty(levels.count, dtype=object)
    # repr is the shortest text that reads back to the same double
    out[:] = [f"r{value!r} {code}" for value in np.asarray(levels.values, dtype=np.float64).tolist()]
    return out
