"""What the simulated probe says of itself."""

from benchapp.probe.practice.bench import Line
from benchapp.probe.practice.counter import TICK_HZ
from benchapp.probe.practice.options import BenchOptions, Control
from benchapp.probe.wire import WIRE_VERSION
from benchapp.records.leads import Board, ClockKind, Lead, LeadKind

OUTPUT, SWITCH, MODULE, LEVEL, FLIP, POWER, LAMP, SERVO, HAND, PLACE = range(10)
LINE_LEADS = {Line.OUTPUT: OUTPUT, Line.SWITCH: SWITCH, Line.MODULE: MODULE}
REST_LEVELS = {FLIP: 0, POWER: 1, LAMP: 0, SERVO: 0}
"""The level of each driven lead at rest; the relay of the transmitter's supply lets it run at rest."""
HANDLES = {HAND: 101, PLACE: 240}
"""The highest level of each lead that moves the stick. They are asked again for what they are at already.

HAND : 0 leaves the stick alone, 1 sweeps it, 2 to 101 take it by so many stops
PLACE: 0 to 240 take it to that share of its travel: the marks of 5, 9, 11 and 21 even stops are among them
"""

_TICK_NS = 1e9 / TICK_HZ
_TOLERANCE_PPM = 50.0
LEVEL_COUNTS = 1023
_PACK_FULL_SCALE_V = 10.0
_STICK_FULL_SCALE_V = 3.3


def describe_board(options: BenchOptions, start_id: int) -> Board:
    """Return the board's descriptor; its stated tolerance covers the clock error it was given."""
    return Board(
        wire_version=WIRE_VERSION,
        start_id=start_id,
        tick_hz=TICK_HZ,
        tick_bits=32,
        clock_kind=ClockKind.PRACTICE,
        tolerance_ppm=max(_TOLERANCE_PPM, abs(options.clock_ppm)),
        serial=f"{options.radio.name}-{options.seed}",
        program="practice bench",
    )


def describe_leads(options: BenchOptions) -> tuple[Lead, ...]:
    """Return the leads' descriptors.

    A radio without a module train has no module lead. The one level lead is on the stick where that is moved: flicked
    in place of the switch, or slowly by a hand beside it. It is on the receiver's pack otherwise.
    """
    by_stick = options.control is Control.STICK
    by_hand = options.motion is not None
    edges = [_edge(OUTPUT, "output")]
    if not by_stick:
        edges.append(_edge(SWITCH, "switch"))
    if options.radio.train is not None:
        edges.append(_edge(MODULE, "module"))
    on_stick = by_stick or by_hand
    level = _level("stick", "stick", _STICK_FULL_SCALE_V) if on_stick else _level("pack", "voltage", _PACK_FULL_SCALE_V)
    drives = (_drive(FLIP, "flip", "drive"), _drive(POWER, "radio power"), _drive(LAMP, "lamp"))
    handles = (_drive(HAND, "stick hand"), _drive(PLACE, "stick place")) if by_hand else ()
    return (*edges, level, *drives, _drive(SERVO, "servo pulses out"), *handles)


def _edge(index: int, role: str) -> Lead:
    return Lead(
        index=index,
        label=role,
        kind=LeadKind.EDGE,
        role=role,
        resolution_ns=_TICK_NS,
        shortest_pulse_ns=1000.0,
        highest_safe_v=5.0,
    )


def _level(label: str, role: str, full_scale_v: float) -> Lead:
    return Lead(
        index=LEVEL,
        label=label,
        kind=LeadKind.LEVEL,
        role=role,
        resolution_ns=_TICK_NS,
        full_scale_v=full_scale_v,
        full_scale_counts=LEVEL_COUNTS,
        nonlinearity_lsb=0.5,
        highest_safe_v=full_scale_v,
    )


def _drive(index: int, label: str, role: str = "") -> Lead:
    return Lead(index=index, label=label, kind=LeadKind.DRIVE, role=role, resolution_ns=_TICK_NS)
