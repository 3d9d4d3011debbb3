"""VCD files (IEEE 1364, four states): wires are on-off leads, reals are volts."""

import numpy as np
from numpy.typing import NDArray

from benchapp.records.stream import Gap, Levels, frozen_array
from benchapp.sessions.exchange.capture import Capture, CaptureLead, Unread
from benchapp.sessions.exchange.decimals import NS_LIMIT, rounded_division
from benchapp.sessions.exchange.notes import applied_notes, notes_in
from benchapp.sessions.exchange.plain_text import plain_bytes
from benchapp.sessions.exchange.refusal import refused
from benchapp.sessions.exchange.states import UNKNOWN_STATE, transitions
from benchapp.sessions.exchange.vcd_body import Changes, read_body
from benchapp.sessions.exchange.vcd_header import Shape, Variable, read_header


def read_vcd(data: bytes, *, file: str) -> Capture:
    """Return what a VCD file holds.

    A wire's first value is a state and no edge; x and z are gaps, and the first value behind one is a state again.
    A repeated value is nothing new. Stamps are whole ns; ticks finer than that go to the nearest ns.
    Raises WrongInput with file, line and reason for whatever cannot be read.
    """
    data = plain_bytes(data, file=file)
    header = read_header(data, file=file)
    if not header.variables:
        raise refused(file, None, "no $var: nothing was captured")
    shapes = {variable.code: variable.shape for variable in header.variables}
    body = read_body(data, header.body, list(shapes.items()), file=file)
    changes = dict(zip(shapes, body.changes, strict=True))
    ns = _Scale(header.tick_exponent, file)
    start_ns, stop_ns = ns.one(body.first_tick), ns.one(body.last_tick)
    leads: list[CaptureLead] = []
    made: dict[bytes, CaptureLead] = {}
    for variable in header.variables:
        if variable.shape is Shape.OTHER:
            continue
        lead = _lead(variable, changes[variable.code], len(leads), ns, stop_ns)
        made[variable.code] = lead
        leads.append(lead)
    capture = Capture(
        name_hint=file,
        tick_ns=10.0**header.tick_exponent,
        started=header.started,
        leads=tuple(leads),
        start_ns=start_ns,
        stop_ns=stop_ns,
        unread=tuple(
            Unread(name=variable.name, scoped_name=variable.scoped_name, reason=variable.reason)
            for variable in header.variables
            if variable.shape is Shape.OTHER
        ),
    )
    return applied_notes(capture, notes_in(header.comments))


class _Scale:
    """Ticks to whole ns, exactly."""

    def __init__(self, exponent: int, file: str) -> None:
        self._exponent = exponent
        self._file = file

    def one(self, tick: int) -> int:
        """Return one tick in ns."""
        return int(self.many(np.array([tick], dtype=np.int64))[0])

    def many(self, ticks: NDArray[np.int64]) -> NDArray[np.int64]:
        """Return sorted ticks in ns; the nearest, halves to the even one. Raises WrongInput beyond 146 years."""
        if self._exponent < 0:
            return rounded_division(ticks, 10**-self._exponent)
        factor: int = 10**self._exponent
        if ticks.size and max(abs(int(ticks[0])), abs(int(ticks[-1]))) * factor >= NS_LIMIT:
            raise refused(self._file, None, f"times reach #{int(ticks[-1])}, beyond 146 years; is the timescale right?")
        return ticks if factor == 1 else ticks * factor


def _lead(variable: Variable, changes: Changes, place: int, ns: _Scale, stop_ns: int) -> CaptureLead:
    times = ns.many(changes.ticks)
    name, scoped_name, source = variable.name, variable.scoped_name, variable.code.decode("ascii")
    if variable.shape is Shape.REAL:
        levels, gaps = _levels(times, changes.values.astype(np.float64, copy=False), place, stop_ns)
        return CaptureLead(name=name, scoped_name=scoped_name, source=source, levels=levels, gaps=gaps)
    seen = transitions(times, changes.values.astype(np.uint8, copy=False), lead=place, stop_ns=stop_ns)
    return CaptureLead(
        name=name, scoped_name=scoped_name, source=source, edges=seen.edges, initial=seen.initial, gaps=seen.gaps
    )


def _levels(
    times: NDArray[np.int64], volts: NDArray[np.float64], place: int, stop_ns: int
) -> tuple[Levels, tuple[Gap, ...]]:
    """Return the samples, and a gap from every value that is no number to the next that is one."""
    missing = np.isnan(volts)
    levels = Levels(lead=place, times_ns=frozen_array(times[~missing]), values=frozen_array(volts[~missing]))
    if not missing.any():
        return levels, ()
    begins = np.flatnonzero(missing & ~np.concatenate(([False], missing[:-1])))
    known = np.append(np.flatnonzero(~missing), times.size)
    ends = np.append(times, stop_ns)[known[np.searchsorted(known, begins)]]
    return levels, tuple(
        Gap(leads=(place,), from_ns=begin, to_ns=end, cause=UNKNOWN_STATE)
        for begin, end in zip(times[begins].tolist(), ends.tolist(), strict=True)
    )
