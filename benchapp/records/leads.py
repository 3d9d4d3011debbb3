"""What a probe says of itself: its board and its leads."""

import re
from dataclasses import dataclass
from enum import StrEnum

ROLES = ("switch", "stick", "module", "output", "horn", "voltage", "current", "drive")
_OUTPUT_N = re.compile(r"output-(?:[2-9]|1[0-6])")


def is_role(word: str) -> bool:
    """Return whether a word names something a lead can be clipped to (`output-2` … `output-16` included)."""
    return word in ROLES or _OUTPUT_N.fullmatch(word) is not None


class LeadKind(StrEnum):
    """What a lead does: stamp transitions, sample volts, or act."""

    EDGE = "edge"
    LEVEL = "level"
    DRIVE = "drive"


class ClockKind(StrEnum):
    """What the probe's tick is derived from."""

    CRYSTAL = "crystal"
    RESONATOR = "resonator"
    CAPTURE = "capture"
    PRACTICE = "practice"
    UNKNOWN = "unknown"


@dataclass(frozen=True, kw_only=True, slots=True)
class Lead:
    """One lead as its descriptor states it.

    index is the lead's number on the wire (0 to 15), or its column in a capture (any number from 0).
    resolution_ns is the stamp interval; bias_ns is already subtracted from every stored stamp;
    lateness is one-sided (a stamp is never early) and is what remains after that subtraction.
    full_scale_v and full_scale_counts turn a level lead's counts into volts; nonlinearity_lsb is None if unknown.
    tested_mean_ns and tested_sd_ns are what this very probe's test of itself found its stamps' lateness to be, bias
    subtracted: mean and standard deviation; None where it was not tested.
    """

    index: int
    label: str
    kind: LeadKind
    role: str = ""
    resolution_ns: float
    bias_ns: float = 0.0
    lateness_typical_ns: float = 0.0
    lateness_worst_ns: float = 0.0
    shortest_pulse_ns: float = 0.0
    full_scale_v: float | None = None
    full_scale_counts: int = 0
    nonlinearity_lsb: float | None = None
    highest_safe_v: float | None = None
    tested_mean_ns: float | None = None
    tested_sd_ns: float | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Board:
    """A probe's board. tick_hz is the nominal rate; tolerance_ppm is its maker's bound, None if unknown."""

    wire_version: int
    start_id: int
    tick_hz: int
    tick_bits: int
    clock_kind: ClockKind
    tolerance_ppm: float | None
    serial: str
    program: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class Stretch:
    """A span of one probe clock: from a start id to the next reset, replug or break.

    number counts from 1. The tick origin_tick lies at origin_ns on the session's clock.
    """

    number: int
    board: Board
    leads: tuple[Lead, ...]
    origin_tick: int
    origin_ns: int
