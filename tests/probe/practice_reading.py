"""Reads a practice bench's bytes for tests, with loops of its own: nothing here comes from what it checks."""

import itertools
import json
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from benchapp.probe.messages import BoardFrame, Damage, EdgeTicks, Heartbeat, LeadFrame, LevelTicks, Reply
from benchapp.probe.practice.link import PracticeLink, open_practice
from benchapp.probe.wire import Commands, Decoder, pack_command

TICK_MS = 1000 / 16_000_000


@dataclass(slots=True)
class Recording:
    """Everything a link sent. edges holds (tick since the first start, level after) for each lead's label."""

    messages: list[Any] = field(default_factory=list)
    edges: dict[str, list[tuple[int, int]]] = field(default_factory=dict)
    labels: dict[int, str] = field(default_factory=dict)
    start_tick: int = 0
    truth: dict[str, Any] = field(default_factory=dict)

    def of(self, kind: type) -> list[Any]:
        return [message for message in self.messages if isinstance(message, kind)]


def start(link: PracticeLink, *, leads: int = 0xFFFF, level_rate_hz: int = 0, token: int = 1) -> None:
    link.write(pack_command(Commands.START, token, leads=leads, level_rate_hz=level_rate_hz))


def read_s(link: PracticeLink, seconds: float) -> bytes:
    end_ns = link.host_ns() + round(seconds * 1e9)
    data = bytearray()
    while link.host_ns() < end_ns:
        data += link.read().data
    return bytes(data)


def record(url: str, seconds: float, folder: Path | None = None, *, level_rate_hz: int = 0) -> Recording:
    """Record for so many virtual seconds; with a folder, read the truth that was written there."""
    truth = None if folder is None else folder / "truth.json"
    link = open_practice(url, pace="flat", truth=truth)
    start(link, level_rate_hz=level_rate_hz)
    data = read_s(link, seconds)
    link.close()
    recording = understand(data)
    if truth is not None:
        recording.truth = json.loads(truth.read_text())
    return recording


def understand(data: bytes) -> Recording:
    recording = Recording(messages=Decoder().feed(data))
    assert not recording.of(Damage)
    whole: dict[int, int] = {}
    for message in recording.messages:
        match message:
            case LeadFrame():
                recording.labels[message.lead.index] = message.lead.label
            case Reply(command=Commands.START):
                recording.start_tick = message.tick
            case EdgeTicks():
                _place(message, recording, whole)
            case BoardFrame() | Heartbeat() | LevelTicks() | Reply():
                pass
    return recording


def _place(message: EdgeTicks, recording: Recording, whole: dict[int, int]) -> None:
    """Give each edge its whole tick: never earlier than the newest one, by the turns of the 32-bit count."""
    newest = whole.get(0, recording.start_tick)
    for tag, tick in zip(message.tags.tolist(), message.ticks.tolist(), strict=True):
        newest += (tick - newest) % 2**32
        label = recording.labels[tag & 15]
        recording.edges.setdefault(label, []).append((newest - recording.start_tick, tag >> 4 & 1))
    whole[0] = newest


@dataclass(slots=True)
class NaiveFlip:
    tick: int
    level: int
    first_ms: float | None = None
    mid_ms: float | None = None
    near_final_ms: float | None = None


def naive_flip_ticks(edges: list[tuple[int, int]], hold_off_ms: float = 20.0) -> list[NaiveFlip]:
    """Return the first transition of every burst that does not end where it began."""
    flips = []
    settled = 0
    n = 0
    while n < len(edges):
        m = n
        while m + 1 < len(edges) and (edges[m + 1][0] - edges[m][0]) * TICK_MS <= hold_off_ms:
            m += 1
        if edges[m][1] != settled:
            settled = edges[m][1]
            flips.append(NaiveFlip(edges[n][0], settled))
        n = m + 1
    return flips


def naive_pulses(edges: list[tuple[int, int]], pulse_level: int = 1) -> list[tuple[int, int]]:
    """Return (leading, trailing) ticks of every pulse of 0.3 to 2.7 ms."""
    pulses = []
    for (tick, level), (next_tick, _) in itertools.pairwise(edges):
        if level == pulse_level and 0.3 <= (next_tick - tick) * TICK_MS <= 2.7:
            pulses.append((tick, next_tick))
    return pulses


def naive_answers(recording: Recording, pulse_level: int = 1) -> list[NaiveFlip]:
    """Work out every flip's answers from raw edges alone, one pulse at a time."""
    flips = naive_flip_ticks(recording.edges["switch"])
    pulses = naive_pulses(recording.edges["output"], pulse_level)
    for flip, following in zip(flips, [*flips[1:], None], strict=True):
        until = recording.edges["output"][-1][0] if following is None else following.tick
        before = [b - a for a, b in pulses if b <= flip.tick][-10:]
        after = [b - a for a, b in pulses if flip.tick < a and b <= until][-10:]
        if len(before) < 5 or len(after) < 5:
            continue
        low, high = sorted(before)[len(before) // 2], sorted(after)[len(after) // 2]
        if abs(high - low) * TICK_MS * 1000 < 5:
            continue
        for a, b in pulses:
            if not flip.tick < a or b > until:
                continue
            share = (b - a - low) / (high - low)
            for name, point in (("first_ms", 0.1), ("mid_ms", 0.5), ("near_final_ms", 0.9)):
                if share >= point and getattr(flip, name) is None:
                    setattr(flip, name, (b - flip.tick) * TICK_MS)
    return flips
