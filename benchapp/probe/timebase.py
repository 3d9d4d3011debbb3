"""Places what the probe sends on the session's clock.

Session zero is the tick in the reply to the first start; what was stamped before a stretch began is left out.
A stretch is one probe clock. It ends when the descriptor brings a new start id, when a heartbeat's start id
differs or its tick goes back, and at a replug. The next begins at the next reply to start, or at a heartbeat
that says the probe is recording, as soon as the descriptor is whole; it is placed by the host clock and never
before the last stamp. The span between is a gap of the stretch that ended.

A reply tells the probe's own now. One whose tick lies far from it is no reply of this clock: it begins nothing anew
and gives no time. Where the counters did begin anew, the next heartbeat's sum shows it.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from benchapp.probe.account import Account, GapCause
from benchapp.probe.descriptor import Descriptor
from benchapp.probe.messages import (
    BoardFrame,
    Damage,
    EdgeTicks,
    Heartbeat,
    LeadFrame,
    LevelTicks,
    Message,
    Reply,
    State,
)
from benchapp.probe.stretch_clock import StretchClock
from benchapp.probe.wire import TAG_LEAD, Commands, Status
from benchapp.records.leads import Board, Stretch
from benchapp.records.stream import LOST_BEFORE, ClockPairs, Edges, Gap, Levels, Record, frozen_array

_GAPS_MAX = 8  # more losses than this in one arrival become one gap
_NOW_NS = 60_000_000_000  # a computer that stalls reads a reply late, but not by a minute


@dataclass(frozen=True, kw_only=True, slots=True)
class StretchOpened:
    """Records from here on belong to this stretch."""

    stretch: Stretch


@dataclass(frozen=True, kw_only=True, slots=True)
class ProbeState:
    """A heartbeat, placed on the session's clock; its muted bits name the leads that are not recorded."""

    at_ns: int
    heartbeat: Heartbeat


@dataclass(frozen=True, kw_only=True, slots=True)
class Answer:
    """A reply to a command; at_ns is None before the first stretch, between two, and where its tick is far from now."""

    command: int
    token: int
    status: int
    at_ns: int | None
    data: bytes


Output = Record | StretchOpened | ProbeState | Answer


class Timebase:
    """Turns messages into records on the session's clock. Told the time; never raises for what a probe sends."""

    def __init__(self) -> None:
        self._number = 0
        self._descriptor = Descriptor()
        self._clock: StretchClock | None = None
        self._account = Account(0)
        self._last_ns = 0
        self._anchor = (0, 0)
        self._start_token: int | None = None

    @property
    def needs_identify(self) -> bool:
        """Whether the descriptor is not known, or only in part: send identify."""
        return not self._descriptor.complete

    @property
    def needs_start(self) -> bool:
        """Whether the descriptor is known and no stretch is open: send start."""
        return self._descriptor.complete and self._clock is None

    @property
    def board(self) -> Board | None:
        """The board, once its whole descriptor came."""
        return self._descriptor.board if self._descriptor.complete else None

    @property
    def stretch(self) -> Stretch | None:
        """The span of one probe clock that goes on now, None between two."""
        return self._clock.stretch if self._clock else None

    @property
    def last_ns(self) -> int:
        """The latest stamp given out [ns]."""
        return self._last_ns

    def unplugged(self) -> None:
        """End the stretch because the link went away; the next link's descriptor must come first."""
        self._clock = None
        self._descriptor = Descriptor()

    def feed(self, messages: Iterable[Message], host_ns: int) -> list[Output]:
        """Return what the messages mean, in order. host_ns is their arrival on the link's host clock."""
        outputs: list[Output] = []
        for message in messages:
            match message:
                case EdgeTicks():
                    outputs += self._edges(message)
                case LevelTicks():
                    outputs += self._levels(message)
                case Heartbeat():
                    outputs += self._heartbeat(message, host_ns)
                case Reply():
                    outputs += self._reply(message, host_ns)
                case BoardFrame():
                    if self._descriptor.begin(message):
                        self._clock = None
                case LeadFrame():
                    self._descriptor.add(message.lead)
                case Damage():
                    if self._clock is not None:
                        self._account.damaged(message, self._clock.largest_bias_ns)
        return outputs

    def _open(self, tick: int, host_ns: int, first: Heartbeat | None = None) -> list[Output]:
        assert self._descriptor.board is not None  # both callers asked for a whole descriptor
        origin_ns, broken = 0, list[Output]()
        if self._number:
            origin_ns = max(self._last_ns, self._anchor[0] + host_ns - self._anchor[1])
            broken.append(Gap(leads=(), from_ns=self._last_ns, to_ns=origin_ns, cause=GapCause.RESTART))
        self._number += 1
        stretch = Stretch(
            number=self._number,
            board=self._descriptor.board,
            leads=self._descriptor.leads,
            origin_tick=tick,
            origin_ns=origin_ns,
        )
        self._clock = StretchClock(stretch)
        self._account = Account(origin_ns, first)
        self._last_ns = origin_ns
        self._anchor = (origin_ns, host_ns)
        return [*broken, StretchOpened(stretch=stretch)]

    def _reply(self, reply: Reply, host_ns: int) -> list[Output]:
        outputs: list[Output] = []
        started = reply.command == Commands.START and reply.status == Status.DONE
        if started and self._clock is None and self._descriptor.complete:
            outputs += self._open(reply.tick, host_ns)
            self._start_token = reply.token
        at_ns = self._now_ns(reply.tick, host_ns)
        if started and at_ns is not None and reply.token != self._start_token:
            outputs += self._account.seen(at_ns)
            self._account = Account(at_ns)  # the probe's counters began anew
            self._start_token = reply.token
        outputs.append(
            Answer(command=reply.command, token=reply.token, status=reply.status, at_ns=at_ns, data=reply.data)
        )
        return outputs

    def _now_ns(self, tick: int, host_ns: int) -> int | None:
        """Return where a reply's tick lies; None where no stretch is open, or it cannot be the probe's own now."""
        if self._clock is None:
            return None
        at_ns = self._clock.tick_ns(tick)
        expected_ns = self._anchor[0] + host_ns - self._anchor[1]
        inside = at_ns >= self._clock.stretch.origin_ns and abs(at_ns - expected_ns) <= _NOW_NS
        return at_ns if inside else None

    def _heartbeat(self, beat: Heartbeat, host_ns: int) -> list[Output]:
        outputs: list[Output] = []
        if not self._descriptor.matches(beat.start_id_low):
            self._clock = None
            self._descriptor = Descriptor()
            return outputs
        if self._clock is not None and not self._clock.follows(beat.tick):
            self._clock = None
        if self._clock is None:
            if not (self._number and self._descriptor.complete and beat.state & State.STARTED):
                return outputs
            outputs += self._open(beat.tick, host_ns, beat)
        assert self._clock is not None  # opened just above, if it was not
        at_ns = self._clock.beat(beat.tick)
        self._last_ns = max(self._last_ns, at_ns)
        self._anchor = (at_ns, host_ns)
        outputs += self._account.seen(at_ns)
        outputs += self._account.beat(beat, at_ns)
        outputs.append(ClockPairs(probe_ns=_one(at_ns), host_ns=_one(host_ns)))
        outputs.append(ProbeState(at_ns=at_ns, heartbeat=beat))
        return outputs

    def _edges(self, message: EdgeTicks) -> list[Output]:
        clock = self._clock
        if clock is None:
            return []
        times_ns = clock.times_ns(message.ticks)
        outputs: list[Output] = list(self._account.seen(int(times_ns[0])))
        self._account.received(times_ns.size, int(times_ns.max()))
        leads = message.tags & TAG_LEAD
        # Few numbers: numpy's counting lets go of the interpreter, and each frame would wait to get it back.
        for lead in sorted(set(leads.tolist())):
            here = leads == lead
            stamps, tags = times_ns[here], message.tags[here]
            bias_ns = clock.edge_bias_ns.get(lead)
            if bias_ns is None:
                outputs.append(_unknown_lead(stamps))
                continue
            outputs += self._edges_of(clock, lead, stamps - bias_ns, tags)
        return outputs

    def _edges_of(
        self, clock: StretchClock, lead: int, times_ns: NDArray[np.int64], tags: NDArray[np.uint8]
    ) -> list[Output]:
        keep, outputs = _in_order(clock, lead, times_ns)
        if keep is not None:
            times_ns, tags = times_ns[keep], tags[keep]
        if not times_ns.size:
            return outputs
        flags = tags >> np.uint8(5) & np.uint8(3)
        outputs += _losses(lead, times_ns, flags, clock.newest_ns[lead])
        clock.newest_ns[lead] = int(times_ns[-1])
        self._last_ns = max(self._last_ns, clock.newest_ns[lead])
        levels = tags >> np.uint8(4) & np.uint8(1)
        outputs.append(
            Edges(lead=lead, times_ns=frozen_array(times_ns), levels=frozen_array(levels), flags=frozen_array(flags))
        )
        return outputs

    def _levels(self, message: LevelTicks) -> list[Output]:
        clock = self._clock
        if clock is None:
            return []
        self._account.received(message.counts.size)
        times_ns = clock.sample_times_ns(message)
        bias_ns = clock.level_bias_ns.get(message.lead)
        if bias_ns is None:
            return [_unknown_lead(times_ns)]
        times_ns = times_ns - bias_ns
        outputs: list[Output] = list(clock.samples_missing(message, times_ns))
        keep, disorder = _in_order(clock, message.lead, times_ns)
        outputs += disorder
        counts = message.counts if keep is None else message.counts[keep]
        times_ns = times_ns if keep is None else times_ns[keep]
        if times_ns.size:
            clock.newest_ns[message.lead] = int(times_ns[-1])
            self._last_ns = max(self._last_ns, clock.newest_ns[message.lead])
            outputs.append(Levels(lead=message.lead, times_ns=frozen_array(times_ns), values=frozen_array(counts)))
        return outputs


def _in_order(
    clock: StretchClock, lead: int, times_ns: NDArray[np.int64]
) -> tuple[NDArray[np.bool_] | None, list[Output]]:
    """Return which stamps can be kept (None: all) and a gap for those that went back in time."""
    newest_ns = clock.newest_ns[lead]
    if times_ns[0] >= newest_ns and (times_ns[1:] >= times_ns[:-1]).all():
        return None, []
    before = times_ns < clock.stretch.origin_ns
    highest = np.maximum.accumulate(np.concatenate(([newest_ns], times_ns)))[:-1]
    back = (times_ns < highest) & ~before
    if not back.any():
        return ~before, []
    cause = GapCause.OUT_OF_ORDER
    gap = Gap(
        leads=(lead,),
        from_ns=int(times_ns[back].min()),
        to_ns=int(max(highest.max(), times_ns.max())),
        cause=cause,
        count=int(back.sum()),
    )
    return ~before & ~back, [gap]


def _one(value: int) -> NDArray[np.int64]:
    return frozen_array(np.array([value], np.int64))


def _unknown_lead(times_ns: NDArray[np.int64]) -> Gap:
    return Gap(
        leads=(),
        from_ns=int(times_ns.min()),
        to_ns=int(times_ns.max()),
        cause=GapCause.UNKNOWN_LEAD,
        count=times_ns.size,
    )


def _losses(lead: int, times_ns: NDArray[np.int64], flags: NDArray[np.uint8], newest_ns: int) -> list[Gap]:
    """Return the gaps that end at edges flagged LOST_BEFORE. The heartbeats' gap says how many were lost."""
    after = np.flatnonzero(flags & LOST_BEFORE)
    if not after.size:
        return []
    before = np.concatenate(([newest_ns], times_ns))
    spans: Sequence[tuple[int, int]] = [(int(before[i]), int(times_ns[i])) for i in after[:_GAPS_MAX]]
    if after.size > _GAPS_MAX:
        spans = [(spans[0][0], int(times_ns[after[-1]]))]
    return [Gap(leads=(lead,), from_ns=a, to_ns=b, cause=GapCause.BOARD_LOST) for a, b in spans]
