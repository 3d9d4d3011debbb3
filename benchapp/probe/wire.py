"""Wire format 1: what the payload of every frame means. All numbers are little-endian; frames are in `framing`.

The number of a frame counts up by one, modulo 256, in each direction, from 0 after a reset. Unknown types are skipped.

FROM THE PROBE
type 1  edges: 1 to 12 records of 5 bytes, in order of time, sent within 5 ms
  0  u8   tag: bits 0-3 lead, 4 level after the edge, 5 coarse stamp, 6 records of this lead lost before it, 7 zero
  1  u32  tick, low 32 bits
type 2  level samples of one lead
  0  u8   lead            1  u32  tick of the first sample, low 32 bits
  5  u32  ticks from one sample to the next           9  u16 x 1 to 16  counts
type 3  heartbeat, ten a second from reset on
  0  u8   start id, low byte                          1  u64  tick
  9  u16  levels of the edge and drive leads, a bit a lead
 11  u8   state: bit 0 started, 1 a host was heard in the last 2 s, 2 driven leads are at rest
 12  u16  muted leads, a bit a lead
 14  u32  records sent: edge records and level samples in the frames before this one, since the last start
 18  u16  edge records lost on the board              20  u16  edges folded (came and went before they were read)
 22  u16  level samples lost on the board             (these three count since the last start, modulo 65,536)
 24  u8   high water: most records that waited        25  u8   damaged frames received, modulo 256
 26  u32  frames sent before this one since reset
 30  0 to 8 times: u8 lead, u16 counts                last sample of each level lead
type 4  reply to a command
  0  u8   command         1  u8   token               2  u8   status: 0 done, 1 unknown, 2 wrong field, 3 not now
  3  u64  tick at which it took effect               11  0 to 53 bytes of data
type 5  descriptor, sent unasked after a reset and after identify: the board, then each lead
  board
  0  u8   0               1  u8   wire version (1)    2  u32  start id, random at each reset
  6  u32  nominal ticks a second, 1,000 at least                 10  u8   tick bits
 11  u8   clock: 0 unknown, 1 crystal, 2 resonator, 3 practice
 12  u16  tolerance [ppm], 65,535 unknown            14  u8   number of lead descriptors that follow
 15  u8 n, n bytes UTF-8: serial                         u8 n, n bytes UTF-8: program; the two at most 47 bytes
  lead
  0  u8   1               1  u8   lead, 0 to 15       2  u8   kind: 0 edge, 1 level, 2 drive
  3  u32  resolution [ps]                             7  u32  stamp bias [ps]
 11  u32  typical lateness [ps]                      15  u32  worst lateness [ps]
 19  u32  shortest pulse [ns]                        23  u32  full scale [mV], 0 none
 27  u16  counts at full scale                       29  u16  integral non-linearity [1/256 count], 65,535 unknown
 31  u32  highest safe voltage [mV], 4,294,967,295 unknown
 35  u8 n, n bytes UTF-8: default role                   u8 n, n bytes UTF-8: label; the two at most 27 bytes

TO THE PROBE
type 16  command
  0  u8   command         1  u8   token: a repeat of the newest token is answered again, not done again
  1 identify              no field; answered, then the descriptor
  2 start     2  u16 leads, a bit a lead              4  u16 level samples a second and lead, 0 none
              The reply's tick is the first instant recorded; the counters of records begin anew.
  3 stop                  no field; driven leads go to rest
  4 mute      2  u8 lead  3  u8 on
  5 drive     2  u8 lead  3  u8 level
  6 drive_at  2  u8 lead  3  u8 level  4  u32 tick, low 32 bits, within half a turn ahead
  7 servo     2  u8 lead  3  u32 pulse [ns], 0 none   7  u32 period [ns]
  8 lamp      2  u8 lead  3  u16 duration [ms]
  9 ping                  no field
 10 baud      2  u32 rate: reverts without a good ping within 1 s
"""

import struct
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

from benchapp.probe.framing import FrameSplitter, Spoilt, encode_frame
from benchapp.probe.messages import (
    BoardFrame,
    Damage,
    DamageCause,
    EdgeTicks,
    Heartbeat,
    LeadFrame,
    LevelTicks,
    Message,
    Reply,
)
from benchapp.records.leads import Board, ClockKind, Lead, LeadKind, is_role

WIRE_VERSION = 1
EDGES_MAX = 12
SAMPLES_MAX = 16
LEADS_MAX = 16

TAG_LEAD = 0x0F
TAG_LEVEL = 0x10
TAG_COARSE = 0x20
TAG_LOST_BEFORE = 0x40

EDGE_RECORD = np.dtype([("tag", "u1"), ("tick", "<u4")])


class Kind(IntEnum):
    """Types of frame, as the first byte of each tells them."""

    EDGES = 1
    LEVELS = 2
    HEARTBEAT = 3
    REPLY = 4
    DESCRIPTOR = 5
    COMMAND = 16


class Commands(IntEnum):
    """The commands that a probe obeys."""

    IDENTIFY = 1
    START = 2
    STOP = 3
    MUTE = 4
    DRIVE = 5
    DRIVE_AT = 6
    SERVO = 7
    LAMP = 8
    PING = 9
    BAUD = 10


class Status(IntEnum):
    """What the probe's reply says of a command."""

    DONE = 0
    UNKNOWN_COMMAND = 1
    WRONG_FIELD = 2
    NOT_NOW = 3


@dataclass(frozen=True, kw_only=True, slots=True)
class Command:
    """A command as the probe reads it."""

    command: Commands
    token: int
    fields: Mapping[str, int]


_LEVELS = struct.Struct("<BII")
_HEARTBEAT = struct.Struct("<BQHBHIHHHBBI")
_LAST_LEVEL = struct.Struct("<BH")
_REPLY = struct.Struct("<BBBQ")
_BOARD = struct.Struct("<BBIIBBHB")
_LEAD = struct.Struct("<BBBIIIIIIHHI")
_BOARD_PART, _LEAD_PART = 0, 1
_TICKS_MAX = 1 << 63  # a counter that began at 0 never gets there, and what stores it has a sign
_TICK_HZ_MIN = 1000  # slower ticks stamp nothing here, and their wraps would leave 64 bits of nanoseconds
_UNKNOWN_U16, _UNKNOWN_U32 = 0xFFFF, 0xFFFF_FFFF
_CLOCKS = (ClockKind.UNKNOWN, ClockKind.CRYSTAL, ClockKind.RESONATOR, ClockKind.PRACTICE)
_LEAD_KINDS = (LeadKind.EDGE, LeadKind.LEVEL, LeadKind.DRIVE)
_FIELDS: Mapping[Commands, tuple[struct.Struct, tuple[str, ...]]] = {
    Commands.IDENTIFY: (struct.Struct("<"), ()),
    Commands.START: (struct.Struct("<HH"), ("leads", "level_rate_hz")),
    Commands.STOP: (struct.Struct("<"), ()),
    Commands.MUTE: (struct.Struct("<BB"), ("lead", "on")),
    Commands.DRIVE: (struct.Struct("<BB"), ("lead", "level")),
    Commands.DRIVE_AT: (struct.Struct("<BBI"), ("lead", "level", "tick")),
    Commands.SERVO: (struct.Struct("<BII"), ("lead", "pulse_ns", "period_ns")),
    Commands.LAMP: (struct.Struct("<BH"), ("lead", "duration_ms")),
    Commands.PING: (struct.Struct("<"), ()),
    Commands.BAUD: (struct.Struct("<I"), ("rate",)),
}


def pack_edges(tags: NDArray[np.uint8] | Sequence[int], ticks: NDArray[np.uint64] | Sequence[int]) -> bytes:
    """Return the payload of an edges frame; ticks are taken modulo 2**32, at most EDGES_MAX of them."""
    records = np.empty(len(tags), EDGE_RECORD)
    records["tag"] = tags
    records["tick"] = np.asarray(ticks, np.uint64) & np.uint64(0xFFFF_FFFF)
    return records.tobytes()


def pack_levels(lead: int, first_tick: int, step: int, counts: NDArray[np.uint16] | Sequence[int]) -> bytes:
    """Return the payload of a level samples frame; at most SAMPLES_MAX counts."""
    return _LEVELS.pack(lead, first_tick & 0xFFFF_FFFF, step) + np.asarray(counts, "<u2").tobytes()


def pack_heartbeat(beat: Heartbeat) -> bytes:
    """Return the payload of a heartbeat frame; counters are taken modulo their width."""
    fixed = _HEARTBEAT.pack(
        beat.start_id_low & 0xFF,
        beat.tick,
        beat.lead_levels,
        beat.state,
        beat.muted,
        beat.records_sent & 0xFFFF_FFFF,
        beat.lost & 0xFFFF,
        beat.folded & 0xFFFF,
        beat.level_lost & 0xFFFF,
        min(beat.high_water, 0xFF),
        beat.bad_received & 0xFF,
        beat.frames_sent & 0xFFFF_FFFF,
    )
    return fixed + b"".join(_LAST_LEVEL.pack(*pair) for pair in beat.last_levels)


def pack_reply(reply: Reply) -> bytes:
    """Return the payload of a reply frame."""
    return _REPLY.pack(reply.command, reply.token, reply.status, reply.tick) + reply.data


def pack_board(board: Board, lead_count: int) -> bytes:
    """Return the payload of the board's descriptor frame."""
    tolerance = _UNKNOWN_U16 if board.tolerance_ppm is None else round(board.tolerance_ppm)
    return (
        _BOARD.pack(
            _BOARD_PART,
            board.wire_version,
            board.start_id,
            board.tick_hz,
            board.tick_bits,
            _CLOCKS.index(board.clock_kind),
            tolerance,
            lead_count,
        )
        + _pack_text(board.serial)
        + _pack_text(board.program)
    )


def pack_lead(lead: Lead) -> bytes:
    """Return the payload of one lead's descriptor frame."""
    nonlinearity = _UNKNOWN_U16 if lead.nonlinearity_lsb is None else round(lead.nonlinearity_lsb * 256)
    safe = _UNKNOWN_U32 if lead.highest_safe_v is None else round(lead.highest_safe_v * 1000)
    picoseconds = (lead.resolution_ns, lead.bias_ns, lead.lateness_typical_ns, lead.lateness_worst_ns)
    return (
        _LEAD.pack(
            _LEAD_PART,
            lead.index,
            _LEAD_KINDS.index(lead.kind),
            *(round(value * 1000) for value in picoseconds),
            round(lead.shortest_pulse_ns),
            round((lead.full_scale_v or 0.0) * 1000),
            lead.full_scale_counts,
            nonlinearity,
            safe,
        )
        + _pack_text(lead.role)
        + _pack_text(lead.label)
    )


def pack_command(command: Commands, token: int, *, seq: int = 0, **fields: int) -> bytes:
    """Return a whole command frame. fields are those of the table at the top, every one of them.

    Raises ValueError for a field too many or missing.
    """
    layout, names = _FIELDS[command]
    if set(fields) != set(names):
        raise ValueError(f"{command.name} takes {', '.join(names) or 'no field'}, got {', '.join(fields) or 'none'}")
    body = layout.pack(*(fields[name] for name in names))
    return encode_frame(Kind.COMMAND, seq, bytes((command, token & 0xFF)) + body)


def unpack_command(payload: bytes) -> Command | None:
    """Return the command in a type 16 payload; None where it is unknown or its length is wrong."""
    if len(payload) < 2 or payload[0] not in _FIELDS:
        return None
    command = Commands(payload[0])
    layout, names = _FIELDS[command]
    if len(payload) != 2 + layout.size:
        return None
    return Command(command=command, token=payload[1], fields=dict(zip(names, layout.unpack(payload[2:]), strict=True)))


class Decoder:
    """Turns the probe's bytes into messages. Never raises; keeps at most one frame's worth of bytes.

    bad_frames counts spoilt frames since the decoder was made.
    """

    def __init__(self) -> None:
        self.bad_frames = 0
        self._splitter = FrameSplitter()
        self._expected: int | None = None
        self._cause: DamageCause | None = None

    def feed(self, data: bytes) -> list[Message]:
        """Return the messages that ended inside the data; neighbouring edge frames come as one EdgeTicks.

        A Damage stands where something is missing, as soon as the next good frame shows how much.
        """
        messages: list[Message] = []
        edges: list[bytes] = []
        for body in self._splitter.feed(data):
            if isinstance(body, Spoilt):
                self._spoil(DamageCause(body))
                continue
            if body[1] != self._expected or self._cause:
                _flush(edges, messages)
                self._damage(body[1], messages)
            self._expected = (body[1] + 1) & 0xFF
            if body[0] == Kind.EDGES and len(body) % EDGE_RECORD.itemsize == 2:
                edges.append(body[2:])
                continue
            _flush(edges, messages)
            self._other(body, messages)
        _flush(edges, messages)
        return messages

    def _spoil(self, cause: DamageCause) -> None:
        self.bad_frames += 1
        self._cause = self._cause or cause

    def _damage(self, seq: int, messages: list[Message]) -> None:
        lost = None if self._expected is None else (seq - self._expected) & 0xFF
        cause = self._cause or (DamageCause.FRAMES_MISSING if lost else None)
        self._cause = None
        if cause is not None:
            messages.append(Damage(cause=cause, lost_frames=lost))

    def _other(self, body: bytes, messages: list[Message]) -> None:
        unpack = _UNPACKERS.get(body[0])
        if unpack is None:
            return
        message = unpack(body[2:])
        if message is None:
            self._spoil(DamageCause.UNREADABLE)
        else:
            messages.append(message)


def _flush(edges: list[bytes], messages: list[Message]) -> None:
    if edges:
        records = np.frombuffer(b"".join(edges), EDGE_RECORD)
        edges.clear()
        if records.size:
            messages.append(
                EdgeTicks(tags=np.ascontiguousarray(records["tag"]), ticks=np.ascontiguousarray(records["tick"]))
            )


def _unreadable_edges(_payload: bytes) -> None:
    return None  # whole records were taken before


def _unpack_levels(payload: bytes) -> LevelTicks | None:
    size = len(payload) - _LEVELS.size
    if size < 2 or size % 2 or size > 2 * SAMPLES_MAX or payload[0] >= LEADS_MAX:
        return None
    lead, first_tick, step = _LEVELS.unpack_from(payload)
    counts = np.frombuffer(payload, "<u2", offset=_LEVELS.size).astype(np.uint16)
    return LevelTicks(lead=lead, first_tick=first_tick, step=step, counts=counts)


def _unpack_heartbeat(payload: bytes) -> Heartbeat | None:
    if len(payload) < _HEARTBEAT.size or (len(payload) - _HEARTBEAT.size) % _LAST_LEVEL.size:
        return None
    start, tick, levels, state, muted, sent, lost, folded, level_lost, high, bad, frames = _HEARTBEAT.unpack_from(
        payload
    )
    if tick >= _TICKS_MAX:
        return None
    return Heartbeat(
        start_id_low=start,
        tick=tick,
        lead_levels=levels,
        state=state,
        muted=muted,
        last_levels=tuple(_LAST_LEVEL.iter_unpack(payload[_HEARTBEAT.size :])),
        records_sent=sent,
        lost=lost,
        folded=folded,
        level_lost=level_lost,
        high_water=high,
        bad_received=bad,
        frames_sent=frames,
    )


def _unpack_reply(payload: bytes) -> Reply | None:
    if len(payload) < _REPLY.size:
        return None
    command, token, status, tick = _REPLY.unpack_from(payload)
    if tick >= _TICKS_MAX:
        return None
    return Reply(command=command, token=token, status=status, tick=tick, data=payload[_REPLY.size :])


def _unpack_descriptor(payload: bytes) -> BoardFrame | LeadFrame | None:
    if payload[:1] == bytes((_BOARD_PART,)) and len(payload) >= _BOARD.size:
        return _unpack_board(payload)
    if payload[:1] == bytes((_LEAD_PART,)) and len(payload) >= _LEAD.size:
        return _unpack_lead(payload)
    return None


def _unpack_board(payload: bytes) -> BoardFrame | None:
    _, version, start_id, tick_hz, bits, clock, tolerance, lead_count = _BOARD.unpack_from(payload)
    texts = _unpack_texts(payload[_BOARD.size :])
    if texts is None or tick_hz < _TICK_HZ_MIN:
        return None
    board = Board(
        wire_version=version,
        start_id=start_id,
        tick_hz=tick_hz,
        tick_bits=bits,
        clock_kind=_CLOCKS[clock] if clock < len(_CLOCKS) else ClockKind.UNKNOWN,
        tolerance_ppm=None if tolerance == _UNKNOWN_U16 else float(tolerance),
        serial=texts[0],
        program=texts[1],
    )
    return BoardFrame(board=board, lead_count=lead_count)


def _unpack_lead(payload: bytes) -> LeadFrame | None:
    _, index, kind, resolution, bias, typical, worst, shortest, full, counts, bent, safe = _LEAD.unpack_from(payload)
    texts = _unpack_texts(payload[_LEAD.size :])
    if texts is None or index >= LEADS_MAX or kind >= len(_LEAD_KINDS):
        return None
    role, label = texts
    lead = Lead(
        index=index,
        label=label,
        kind=_LEAD_KINDS[kind],
        role=role if is_role(role) else "",
        resolution_ns=resolution / 1000,
        bias_ns=bias / 1000,
        lateness_typical_ns=typical / 1000,
        lateness_worst_ns=worst / 1000,
        shortest_pulse_ns=float(shortest),
    )
    return LeadFrame(
        lead=replace(
            lead,
            full_scale_v=full / 1000 if full else None,
            full_scale_counts=counts,
            nonlinearity_lsb=None if bent == _UNKNOWN_U16 else bent / 256,
            highest_safe_v=None if safe == _UNKNOWN_U32 else safe / 1000,
        )
    )


def _pack_text(text: str) -> bytes:
    raw = text.encode()
    return bytes((len(raw),)) + raw


def _unpack_texts(payload: bytes) -> tuple[str, str] | None:
    """Return the two texts that end a descriptor; None where their lengths do not fit the payload."""
    first = payload[1 : 1 + payload[0]] if payload else b""
    rest = payload[1 + len(first) :]
    if not rest or len(first) != payload[0] or len(rest) != 1 + rest[0]:
        return None
    return first.decode(errors="replace"), rest[1:].decode(errors="replace")


_UNPACKERS: Mapping[int, Callable[[bytes], Message | None]] = {
    Kind.EDGES: _unreadable_edges,
    Kind.LEVELS: _unpack_levels,
    Kind.HEARTBEAT: _unpack_heartbeat,
    Kind.REPLY: _unpack_reply,
    Kind.DESCRIPTOR: _unpack_descriptor,
}
