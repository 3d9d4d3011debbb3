"""What a probe on the emulated board must tell, checked against the cycles at which things happened there.

An edge happened at the cycle at which it took effect, between two instructions.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from benchapp.probe.messages import Damage, EdgeTicks, Heartbeat, LeadFrame, LevelTicks, Message, Reply
from benchapp.probe.wire import TAG_COARSE, TAG_LEAD, TAG_LEVEL, TAG_LOST_BEFORE, Commands
from benchapp.records.leads import Lead
from tests.emulator.emulated import ALL_WORKAROUNDS, EDGE, HZ, MS, Board

OUTPUT, SWITCH, MODULE, SPARES, DRIVE, SERVO, LAMP = 0, 1, 2, (3, 4, 5, 6), 7, 12, 13
LEVELS = (8, 9, 10, 11)
PIN_OF = {OUTPUT: 8, SWITCH: 2, MODULE: 3, 3: 4, 4: 5, 5: 6, 6: 7, DRIVE: 9, SERVO: 10, LAMP: 13}
EDGE_LEADS = (OUTPUT, SWITCH, MODULE, *SPARES)
ALL_LEADS = 0xFFFF
BOOTED = 100 * MS  # the descriptor has left at 115,200 by then
RECORD = np.dtype([("tick", "<i8"), ("lead", "u1"), ("level", "?"), ("coarse", "?"), ("lost", "?")])


@dataclass
class Told:
    """Everything a probe said, sorted."""

    records: NDArray[np.void] = field(default_factory=lambda: np.empty(0, RECORD))
    levels: list[LevelTicks] = field(default_factory=list)
    beats: list[Heartbeat] = field(default_factory=list)
    replies: list[Reply] = field(default_factory=list)
    leads: dict[int, Lead] = field(default_factory=dict)
    damage: list[Damage] = field(default_factory=list)
    got: int = 0

    def hear(self, messages: Iterable[Message]) -> "Told":
        """Take in messages; ticks are continued over their wraps."""
        parts = [self.records]
        for message in messages:
            match message:
                case EdgeTicks():
                    parts.append(_records(message))
                    self.got += message.ticks.size
                case LevelTicks():
                    self.levels.append(message)
                    self.got += message.counts.size
                case Heartbeat():
                    self.beats.append(message)
                case Reply():
                    self.replies.append(message)
                case LeadFrame():
                    self.leads[message.lead.index] = message.lead
                case Damage():
                    self.damage.append(message)
        self.records = np.concatenate(parts)
        return self

    def of(self, lead: int) -> NDArray[np.void]:
        """Return the edges of a lead."""
        return self.records[self.records["lead"] == lead]


def _records(edges: EdgeTicks) -> NDArray[np.void]:
    records = np.empty(edges.ticks.size, RECORD)
    records["tick"] = edges.ticks
    records["lead"] = edges.tags & TAG_LEAD
    for name, bit in (("level", TAG_LEVEL), ("coarse", TAG_COARSE), ("lost", TAG_LOST_BEFORE)):
        records[name] = (edges.tags & bit) != 0
    return records


class Probe:
    """A board with the probe's program: what it says is in `told`, and `began` is the cycle of its tick 0."""

    def __init__(self, hex_file: Path, *, seed: int = 1, workarounds: int = ALL_WORKAROUNDS) -> None:
        self.board = Board(hex_file, seed=seed, workarounds=workarounds)
        self.told = Told()
        # A turn of the timer is 4.1 ms, and it begins 10 to 20 ms after a reset.
        while not self.board.turned:
            self.board.run(0.5)
        self.began = self.board.turned
        self.run_to(BOOTED)

    def close(self) -> None:
        """Let the board go."""
        self.board.__exit__()

    def run_to(self, cycle: int) -> None:
        """Run up to a cycle, and hear what it says."""
        self.board.run_to(cycle)
        self.told.hear(self.board.messages())

    def run(self, ms: float) -> None:
        """Run on for so long."""
        self.run_to(self.board.cycle + round(ms * MS))

    def ask(self, command: Commands, *, token: int | None = None, **fields: int) -> Reply:
        """Send a command and return its reply, which must come within 30 ms."""
        asked, before = self.board.ask(command, token=token, **fields), len(self.told.replies)
        for _ in range(60):
            self.run(0.5)
            for reply in self.told.replies[before:]:
                if (reply.command, reply.token) == (command, asked):
                    return reply
        raise AssertionError(f"no reply to {command.name}")

    def start(self, leads: int = ALL_LEADS, level_rate_hz: int = 250) -> Reply:
        """Start recording."""
        return self.ask(Commands.START, leads=leads, level_rate_hz=level_rate_hz)

    def move_to(self, baud: int) -> None:
        """Change the rate as a host does: the command, then pings at the new rate."""
        self.ask(Commands.BAUD, rate=baud)
        self.run(20)
        assert self.ask(Commands.PING).status == 0

    def cycles(self, records: NDArray[np.void]) -> NDArray[np.int64]:
        """Return the cycles at which edges of one lead happened, as far as their stamps tell: bias subtracted."""
        if not records.size:
            return np.empty(0, np.int64)
        bias = round(self.told.leads[int(records["lead"][0])].bias_ns * HZ / 1e9)
        turns = np.concatenate(([0], np.cumsum(np.diff(records["tick"]) < -(1 << 31))))
        return np.asarray(records["tick"] + (turns << 32) - bias + self.began, np.int64)

    def happened(self, lead: int, since: int = 0) -> NDArray[np.void]:
        """Return the edges of a lead's pin as they took effect on the board."""
        log = self.board.log("driven" if lead in (DRIVE, SERVO, LAMP) else "landed")
        return log[(log["pin"] == PIN_OF[lead]) & (log["cycle"] >= since)]

    def lateness(self, lead: int) -> tuple[NDArray[np.int64], NDArray[np.bool_]]:
        """Return how late each edge of a lead is told [cycles], and whether it is flagged; every edge must be told."""
        told, happened = self.told.of(lead), self.happened(lead, BOOTED)
        assert told.size == happened.size, f"lead {lead}: {told.size} edges told of {happened.size}"
        assert (told["level"] == (happened["level"] == 1)).all()
        return self.cycles(told) - happened["cycle"].astype(np.int64), np.asarray(told["coarse"])


def promised(probe: Probe, lead: int) -> tuple[int, int]:
    """Return how late a lead's stamps may be by its descriptor [ticks]: unflagged, and flagged."""
    told = probe.told.leads[lead]
    return round(told.lateness_typical_ns * HZ / 1e9), round(told.lateness_worst_ns * HZ / 1e9)


def check_stamps(probe: Probe, leads: Iterable[int] = EDGE_LEADS) -> None:
    """Every edge is told, those of the capture lead exactly, and none later than its lead's descriptor says."""
    for lead in leads:
        late, coarse = probe.lateness(lead)
        if lead == OUTPUT:
            assert (late == 0).all(), f"the capture lead is off by {late[late != 0][:5]}"
            assert not coarse.any()
            continue
        unflagged, flagged = late[~coarse], late[coarse]
        typical, worst = promised(probe, lead)
        assert ((unflagged >= 0) & (unflagged <= typical)).all(), (lead, unflagged.min(), unflagged.max())
        assert ((flagged >= 0) & (flagged <= worst)).all(), (lead, flagged.min(), flagged.max())


def check_complete(probe: Probe) -> None:
    """Nothing was lost, folded or damaged, and the last heartbeat's sum is what came."""
    beat = probe.told.beats[-1]
    counters = (beat.lost, beat.folded, beat.level_lost, beat.bad_received, beat.muted, len(probe.told.damage))
    assert counters == (0,) * 6, counters
    # Records after the last heartbeat came as well.
    assert probe.told.got - beat.records_sent >= 0


def alternate(cycles: NDArray[np.int64], pin: int) -> NDArray[np.void]:
    """Return edges of a pin that rise and fall in turn."""
    edges = np.empty(cycles.size, EDGE)
    edges["cycle"], edges["pin"] = np.sort(cycles), pin
    edges["level"] = (np.arange(cycles.size) + 1) & 1
    return edges


def bench_load(rng: np.random.Generator, start: int, ms: float, *, scale: float = 1.0) -> NDArray[np.void]:
    """Return what a bench brings, 1,200 edges a second: servo pulses, a switch that bounces, a pulse train, a spare."""
    span, parts = ms * MS, []
    frames = np.arange(0, span, 11 * MS / scale) + rng.uniform(0, 30_000)
    widths = rng.choice([1.1, 1.5, 1.9], frames.size) * MS + rng.integers(-40, 40, frames.size)
    parts.append((8, np.concatenate([frames, frames + widths])))
    flips = np.cumsum(rng.uniform(60, 160, int(ms / 60))) * MS
    bounces = [flips + extra for extra in (0, 3_000, 9_100, 15_500, 16_400)]
    parts.append((2, np.concatenate(bounces)))
    trains = np.arange(0, span, 22.5 * MS / scale) + rng.uniform(0, 30_000)
    channels = np.cumsum(rng.uniform(0.9, 2.0, (trains.size, 9)) / scale, axis=1) * MS + trains[:, None]
    parts.append((3, np.concatenate([channels.ravel(), channels.ravel() + 0.3 * MS])))
    parts.append((4, np.arange(0, span, 10 * MS / scale) + rng.uniform(0, 30_000)))
    loads = [alternate(start + cycles[cycles < span].astype(np.int64), pin) for pin, cycles in parts]
    return np.concatenate(loads)


def even_load(rng: np.random.Generator, start: int, ms: float, edges_a_second: float) -> NDArray[np.void]:
    """Return edges of all seven leads in turn, evenly spaced but for a jitter of a third of their distance."""
    step = HZ / edges_a_second
    count = int(ms * MS / step)
    cycles = start + (np.arange(count) + rng.uniform(-1 / 3, 1 / 3, count)) * step
    pins = [PIN_OF[lead] for lead in EDGE_LEADS]
    return np.concatenate([alternate(cycles[n :: len(pins)].astype(np.int64), pin) for n, pin in enumerate(pins)])
