"""A scripted probe on a virtual clock, whose drive lead is wired to one of its own edge leads after another."""

import random
from collections.abc import Callable, Sequence

from benchapp.probe.framing import FrameSplitter
from benchapp.probe.link import Arrival
from benchapp.probe.wire import Commands, unpack_command
from benchapp.records.leads import Lead, LeadKind
from benchapp.records.run import Origin
from tests.probe.scripted_probe import ScriptedProbe

TICKS_A_MS = 16_000
DRIVE = 9
LEADS = (
    Lead(index=0, label="D8", kind=LeadKind.EDGE, role="output", resolution_ns=62.5),
    Lead(
        index=1,
        label="D2",
        kind=LeadKind.EDGE,
        role="switch",
        resolution_ns=62.5,
        bias_ns=500.0,
        lateness_typical_ns=812.5,
        lateness_worst_ns=4250.0,
    ),
    Lead(index=DRIVE, label="D9", kind=LeadKind.DRIVE, role="drive", resolution_ns=62.5, lateness_worst_ns=187.5),
)
BIAS_TICKS = 8


class JumperedProbe(ScriptedProbe):
    """wired(ms) names the leads at the end of the wire; late(lead, draw) is how many ticks late a stamp is.

    loses: every so-manieth edge does not arrive; strays: an edge nobody made every so many ms; clock_ppm: how much
    too fast its tick runs.
    """

    def __init__(
        self,
        *,
        wired: Callable[[float], Sequence[int]] = lambda _ms: (0,),
        late: Callable[[int, random.Random], int] = lambda _lead, _draw: 0,
        loses: int = 0,
        deaf_drive: bool = False,
        leads: Sequence[Lead] = LEADS,
        clock_ppm: float = 0.0,
    ) -> None:
        super().__init__(leads=leads)
        self.deaf_to = {Commands.DRIVE, Commands.DRIVE_AT} if deaf_drive else set()
        self.reset_at_ms: float | None = None
        self._wired, self._late, self._loses = wired, late, loses
        self._clock = 1 + clock_ppm * 1e-6
        self._draw = random.Random(4)
        self._planned: tuple[int, int] | None = None
        self._level = self._made = 0
        self._beat = 0
        self._peek = FrameSplitter()

    def play(self, now_ns: int) -> bytes:
        self.tick = round(now_ns * 16 / 1000 * self._clock)
        data = b""
        if self.reset_at_ms is not None and now_ns >= self.reset_at_ms * 1e6:
            self.reset_at_ms = None
            data += self.reset(0xBEEF)
        if self._planned is not None and self.tick >= self._planned[0]:
            (tick, level), self._planned = self._planned, None
            data += self._drive(level, tick)
        if self.tick >= self._beat * 1_600_000:
            self._beat += 1
            data += self.heartbeat()
        return data

    def hear(self, data: bytes) -> bytes:
        answers = b""
        for piece in data.split(b"\0"):
            if not piece:
                continue
            (body,) = self._peek.feed(piece + b"\0")
            command = unpack_command(body[2:])
            if command.command is Commands.DRIVE_AT and not self.deaf_to:
                now = self.tick
                at = now + ((command.fields["tick"] - now) & 0xFFFF_FFFF)
                self._planned = (at, command.fields["level"])
            if command.command is Commands.DRIVE and not self.deaf_to:
                self.heard.append(command.command)
                answers += self._drive(command.fields["level"], self.tick) + self.reply(command.command, command.token)
                continue
            answers += super().hear(piece + b"\0")
        return answers

    def _drive(self, level: int, tick: int) -> bytes:
        if level == self._level:
            return b""
        self._level = level
        self._made += 1
        records = [(DRIVE, level, tick)]
        for lead in self._wired(tick / TICKS_A_MS):
            if self._loses and self._made % self._loses == 0:
                continue
            bias = BIAS_TICKS if lead == 1 else 0
            records.append((lead, level, tick + bias + self._late(lead, self._draw)))
        return self.edges(*records)


class VirtualLink:
    """A Link to it that takes no real time; every read takes 2 ms, as a port that is busy does."""

    name = "the probe's port"
    origin = Origin.PROBE

    def __init__(self, probe: JumperedProbe, *, delay: Callable[[], int] = lambda: 0) -> None:
        self._probe, self._delay = probe, delay
        self._now_ns = 5_000_000
        self._waiting = b""
        self.closed = False

    def host_ns(self) -> int:
        return self._now_ns

    def read(self) -> Arrival:
        self._now_ns += 2_000_000
        data, self._waiting = self._waiting + self._probe.play(self._now_ns), b""
        return Arrival(data=data, host_ns=self._now_ns + self._delay())

    def write(self, data: bytes) -> None:
        self._waiting += self._probe.hear(data)

    def close(self) -> None:
        self.closed = True
