"""What a probe says, as values: one for each kind of frame, and one for what is missing."""

from dataclasses import dataclass
from enum import IntEnum, StrEnum

import numpy as np
from numpy.typing import NDArray

from benchapp.probe.framing import Spoilt
from benchapp.records.leads import Board, Lead


class State(IntEnum):
    """Bits of a heartbeat's state."""

    STARTED = 1
    HOST_HEARD = 2
    AT_REST = 4


class DamageCause(StrEnum):
    """Why the stream is not whole; the first cause counts where several came together."""

    TOO_LONG = Spoilt.TOO_LONG.value
    TOO_SHORT = Spoilt.TOO_SHORT.value
    BAD_CODING = Spoilt.BAD_CODING.value
    BAD_CHECK = Spoilt.BAD_CHECK.value
    UNREADABLE = "unreadable"
    FRAMES_MISSING = "frames-missing"


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class EdgeTicks:
    """Edge records as sent, oldest first. tags : uint8, (n,); ticks : uint32, (n,), the low 32 bits."""

    tags: NDArray[np.uint8]
    ticks: NDArray[np.uint32]


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class LevelTicks:
    """Samples of one level lead, oldest first. first_tick is the low 32 bits; counts : uint16, (n,)."""

    lead: int
    first_tick: int
    step: int
    counts: NDArray[np.uint16]


@dataclass(frozen=True, kw_only=True, slots=True)
class Heartbeat:
    """The probe's account of itself, ten a second. last_levels holds (lead, counts) pairs."""

    start_id_low: int
    tick: int
    lead_levels: int
    state: int
    muted: int = 0
    last_levels: tuple[tuple[int, int], ...] = ()
    records_sent: int
    lost: int = 0
    folded: int = 0
    level_lost: int = 0
    high_water: int = 0
    bad_received: int = 0
    frames_sent: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Reply:
    """The answer to a command; tick is the whole 64 bits."""

    command: int
    token: int
    status: int
    tick: int
    data: bytes = b""


@dataclass(frozen=True, kw_only=True, slots=True)
class BoardFrame:
    """The board's half of the descriptor; lead_count lead frames follow."""

    board: Board
    lead_count: int


@dataclass(frozen=True, kw_only=True, slots=True)
class LeadFrame:
    """One lead's part of the descriptor."""

    lead: Lead


@dataclass(frozen=True, kw_only=True, slots=True)
class Damage:
    """Something is missing or spoilt between the message before this one and the next.

    lost_frames is the number of frames missing modulo 256; None where no good frame came before.
    """

    cause: DamageCause
    lost_frames: int | None


Message = EdgeTicks | LevelTicks | Heartbeat | Reply | BoardFrame | LeadFrame | Damage
