"""A small probe for tests: bytes in, bytes out, told what happens on its leads and when."""

from collections.abc import Sequence

from benchapp.probe.framing import FrameSplitter, encode_frame
from benchapp.probe.messages import Heartbeat, Reply, State
from benchapp.probe.wire import (
    Commands,
    Kind,
    Status,
    pack_board,
    pack_edges,
    pack_heartbeat,
    pack_lead,
    pack_levels,
    pack_reply,
    unpack_command,
)
from benchapp.records.leads import Board, ClockKind, Lead, LeadKind

HZ = 16_000_000

LEADS = (
    Lead(index=0, label="output", kind=LeadKind.EDGE, role="output", resolution_ns=62.5),
    Lead(index=1, label="switch", kind=LeadKind.EDGE, role="switch", resolution_ns=62.5, bias_ns=1190.0),
    Lead(
        index=8,
        label="stick",
        kind=LeadKind.LEVEL,
        role="stick",
        resolution_ns=62.5,
        full_scale_v=5.0,
        full_scale_counts=1023,
    ),
    Lead(index=12, label="flip", kind=LeadKind.DRIVE, role="drive", resolution_ns=62.5),
)


def board(start_id: int = 0x1234_5678, *, hz: int = HZ, wire_version: int = 1, serial: str = "T-1") -> Board:
    return Board(
        wire_version=wire_version,
        start_id=start_id,
        tick_hz=hz,
        tick_bits=32,
        clock_kind=ClockKind.CRYSTAL,
        tolerance_ppm=50.0,
        serial=serial,
    )


class ScriptedProbe:
    """Frames are numbered and records counted as the wire format asks; `tick` is set by the test."""

    def __init__(self, *, start_id: int = 0x1234_5678, hz: int = HZ, leads: Sequence[Lead] = LEADS) -> None:
        self.leads = tuple(leads)
        self.hz = hz
        self.heard: list[Commands] = []
        self.strange_bytes = 0
        self.muted = self.lost = self.folded = self.level_lost = 0
        self.deaf_to: set[Commands] = set()
        self.wire_version = 1
        self.serial = "T-1"
        self._splitter = FrameSplitter()
        self.tick = 0
        self._reset(start_id)

    def _reset(self, start_id: int) -> None:
        self.start_id = start_id
        self.started = False
        self._seq = self._frames = self._records = 0
        self._token: int | None = None
        self._answer = b""

    def frame(self, kind: int, payload: bytes) -> bytes:
        whole = encode_frame(kind, self._seq, payload)
        self._seq = (self._seq + 1) & 0xFF
        self._frames += 1
        return whole

    def reset(self, start_id: int, *, tick: int = 0) -> bytes:
        """The bytes a probe sends unasked after a reset."""
        self._reset(start_id)
        self.tick = tick
        return self.descriptor()

    def descriptor(self) -> bytes:
        facts = board(self.start_id, hz=self.hz, wire_version=self.wire_version, serial=self.serial)
        frames = [pack_board(facts, len(self.leads)), *(pack_lead(lead) for lead in self.leads)]
        return b"".join(self.frame(Kind.DESCRIPTOR, payload) for payload in frames)

    def edges(self, *records: tuple[int, int, int], flags: int = 0) -> bytes:
        """Edge frames for (lead, level, tick) records; twelve a frame."""
        whole = b""
        for start in range(0, len(records), 12):
            part = records[start : start + 12]
            tags = [lead | level << 4 | flags for lead, level, _ in part]
            whole += self.frame(Kind.EDGES, pack_edges(tags, [tick for _, _, tick in part]))
        self._records += len(records)
        return whole

    def samples(self, lead: int, first_tick: int, step: int, counts: Sequence[int]) -> bytes:
        self._records += len(counts)
        return self.frame(Kind.LEVELS, pack_levels(lead, first_tick, step, counts))

    def heartbeat(self, tick: int | None = None) -> bytes:
        if tick is not None:
            self.tick = tick
        beat = Heartbeat(
            start_id_low=self.start_id,
            tick=self.tick,
            lead_levels=0,
            state=State.STARTED if self.started else 0,
            muted=self.muted,
            last_levels=((8, 512),),
            records_sent=self._records,
            lost=self.lost,
            folded=self.folded,
            level_lost=self.level_lost,
            frames_sent=self._frames,
        )
        return self.frame(Kind.HEARTBEAT, pack_heartbeat(beat))

    def hear(self, data: bytes) -> bytes:
        """What the probe sends back to these bytes."""
        answers = b""
        for body in self._splitter.feed(data):
            command = unpack_command(body[2:]) if isinstance(body, bytes) and body[0] == Kind.COMMAND else None
            if command is None:
                self.strange_bytes += 1
                continue
            self.heard.append(command.command)
            if command.command in self.deaf_to:
                continue
            fresh = command.token != self._token
            if command.command is Commands.START and fresh:
                self.started, self._records = True, 0
            if command.command is Commands.DRIVE and fresh:
                answers += self.edges((command.fields["lead"], command.fields["level"], self.tick))
            answers += self.reply(command.command, command.token)
            if command.command is Commands.IDENTIFY:
                answers += self.descriptor()
        return answers

    def reply(self, command: Commands, token: int) -> bytes:
        if token != self._token:
            reply = Reply(command=command, token=token, status=Status.DONE, tick=self.tick)
            self._token, self._answer = token, pack_reply(reply)
        return self.frame(Kind.REPLY, self._answer)


def started(probe: ScriptedProbe, tick: int = 1000) -> bytes:
    """The bytes of a probe that was greeted and started at this tick."""
    probe.tick = tick
    probe.started = True
    return probe.descriptor() + probe.reply(Commands.START, 7)
