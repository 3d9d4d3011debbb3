"""Puts the simulated probe's records and messages into frames."""

from random import Random

from benchapp.probe.framing import encode_frame
from benchapp.probe.wire import EDGES_MAX, SAMPLES_MAX, TAG_LEVEL, Kind, pack_edges, pack_levels

FLUSH_NS = 5_000_000


class Sender:
    """Numbers and counts frames; holds edges back until a frame is full or its first is 5 ms old.

    records_sent counts edges and samples since the last start, frames_sent frames since the last reset;
    high_water is the most edges that waited.
    """

    def __init__(self, *, damage: float, rng: Random) -> None:
        self.records_sent = 0
        self.frames_sent = 0
        self.high_water = 0
        self._damage = damage
        self._rng = rng
        self._out = bytearray()
        self._tags: list[int] = []
        self._ticks: list[int] = []
        self._due_ns = 0
        self._samples: list[int] = []
        self._first_sample: tuple[int, int, int] = (0, 0, 0)

    def reset(self) -> None:
        """Forget what is held back and count anew; what was sent stays sent."""
        self.records_sent = self.frames_sent = self.high_water = 0
        self._tags, self._ticks, self._samples = [], [], []

    def frame(self, kind: Kind, payload: bytes) -> None:
        """Send a frame now."""
        frame = bytearray(encode_frame(kind, self.frames_sent, payload))
        if self._damage > 0 and self._rng.random() < self._damage:
            frame[self._rng.randrange(len(frame) - 1)] ^= 1 << self._rng.randrange(8)
        self._out += frame
        self.frames_sent += 1

    def edge(self, at_ns: int, lead: int, level: int, tick: int) -> None:
        """Take one edge, in order of time."""
        self.flush_due(at_ns)
        if not self._tags:
            self._due_ns = at_ns + FLUSH_NS
        self._tags.append(lead | (TAG_LEVEL if level else 0))
        self._ticks.append(tick)
        self.high_water = max(self.high_water, len(self._tags))
        if len(self._tags) == EDGES_MAX:
            self.flush_edges()

    def sample(self, lead: int, tick: int, step: int, count: int) -> None:
        """Take one sample of the only level lead."""
        if not self._samples:
            self._first_sample = (lead, tick, step)
        self._samples.append(count)
        if len(self._samples) == SAMPLES_MAX:
            self.flush_samples()

    def flush_due(self, now_ns: int) -> None:
        """Send the edges whose time is up."""
        if self._tags and now_ns >= self._due_ns:
            self.flush_edges()

    def flush_edges(self) -> None:
        """Send the edges held back."""
        if self._tags:
            self.frame(Kind.EDGES, pack_edges(self._tags, self._ticks))
            self.records_sent += len(self._tags)
            self._tags, self._ticks = [], []

    def flush_samples(self) -> None:
        """Send the samples held back."""
        if self._samples:
            self.frame(Kind.LEVELS, pack_levels(*self._first_sample, self._samples))
            self.records_sent += len(self._samples)
            self._samples = []

    def flush(self) -> None:
        """Send every edge and sample that was held back."""
        self.flush_edges()
        self.flush_samples()

    def take(self) -> bytes:
        """Return the bytes sent since the last take."""
        data = bytes(self._out)
        self._out.clear()
        return data
