"""The simulated probe: stamps what happens on the bench, obeys commands, and says all of it in wire format 1."""

from collections.abc import Callable, Mapping
from random import Random

from benchapp.probe.framing import FrameSplitter, Spoilt
from benchapp.probe.messages import Heartbeat, Reply, State
from benchapp.probe.practice import descriptor
from benchapp.probe.practice.agenda import Agenda
from benchapp.probe.practice.bench import Bench
from benchapp.probe.practice.counter import TICK_HZ, TickCounter
from benchapp.probe.practice.descriptor import LEVEL, LINE_LEADS
from benchapp.probe.practice.drives import Drives
from benchapp.probe.practice.hand import Motion
from benchapp.probe.practice.options import BenchOptions, Control
from benchapp.probe.practice.sender import Sender
from benchapp.probe.wire import (
    Command,
    Commands,
    Kind,
    Status,
    pack_board,
    pack_heartbeat,
    pack_lead,
    pack_reply,
    unpack_command,
)

HEARTBEAT_NS = 100_000_000
HOST_GONE_NS = 2_000_000_000
_MOST_SAMPLES_A_SECOND = 1000
_TURN, _HALF_TURN = 1 << 32, 1 << 31
_BAUD_RATES = range(9_600, 2_000_001)
_SHORTEST_SERVO_NS = 100_000
_PACK_COUNTS = 511
_STICK_COUNTS = (155, 868)
_STICK_NOISE_COUNTS = 0.4


class Board:
    """The probe on its own virtual time, which goes on only by `advance`.

    recordings holds (first, last) true ns of each span between start and stop; last is None while it lasts.
    """

    def __init__(self, options: BenchOptions, *, remember: bool = True) -> None:
        self.bench = Bench(options, remember=remember)
        self.recordings: list[tuple[int, int | None]] = []
        self._options = options
        self._rng = Random(f"board {options.seed}")
        # It has been running for a while: the 32 bits of a stamp turn over at any moment of a session.
        self._first_counter = self._counter = self._count_from(self._rng.getrandbits(33))
        self._stick_rng = Random(f"stick {options.seed}")
        self._leads = descriptor.describe_leads(options)
        self._agenda = Agenda()
        self._drives = Drives(self._agenda, lambda: self.now_ns, self._driven)
        self._sender = Sender(damage=options.damage, rng=Random(f"damage {options.seed}"))
        self._heard_ns = -HOST_GONE_NS
        self._obey: Mapping[Commands, Callable[[Mapping[str, int]], Status]] = {
            Commands.IDENTIFY: lambda _: Status.DONE,
            Commands.START: self._start,
            Commands.STOP: self._stop,
            Commands.MUTE: self._mute,
            Commands.DRIVE: self._drive,
            Commands.DRIVE_AT: self._drive_at,
            Commands.SERVO: self._servo,
            Commands.LAMP: self._lamp,
            Commands.PING: lambda _: Status.DONE,
            Commands.BAUD: lambda fields: _status(fields["rate"] in _BAUD_RATES),
        }
        if options.reset_s is not None:
            self._agenda.plan(round(options.reset_s * 1e9), self._reset)
        self._agenda.plan(HEARTBEAT_NS, self._beat)
        self._come_up()

    @property
    def now_ns(self) -> int:
        """True time since the bench was opened."""
        return self.bench.now_ns

    def session_ns(self, ns: int) -> int:
        """Return an instant on the session's clock: nominal ns since the first start, halves up; 0 before any."""
        if not self.recordings:
            return 0
        ticks = self._first_counter.tick_at(ns) - self._first_counter.tick_at(self.recordings[0][0])
        return (ticks * 1_000_000_000 + TICK_HZ // 2) // TICK_HZ

    def advance(self, to_ns: int) -> bytes:
        """Let time pass up to and including to_ns; return what was sent since the last call."""
        while (due := self._agenda.take(to_ns)) is not None:
            at_ns, action = due
            self._pass(max(at_ns, self.now_ns))
            action()
        self._pass(to_ns)
        return self._sender.take()

    def receive(self, data: bytes) -> None:
        """Take bytes from the host; commands in them are obeyed now."""
        for body in self._splitter.feed(data):
            if isinstance(body, Spoilt):
                self._bad_received += 1
            elif body[0] == Kind.COMMAND and len(body) >= 4:
                self._command(body[2:])

    # Time --------------------------------------------------------------------------------------------------------

    def _pass(self, to_ns: int) -> None:
        for transition in self.bench.advance(to_ns):
            self._stamp(transition.at_ns, LINE_LEADS[transition.line], transition.level)
        self._sample_until(self._counter.tick_at(to_ns))
        self._sender.flush_due(to_ns)

    def _stamp(self, at_ns: int, lead: int, level: int) -> None:
        if self._started and (self._mask & ~self._muted) >> lead & 1:
            self._sender.edge(at_ns, lead, level, self._counter.tick_at(at_ns))

    def _sample_until(self, tick: int) -> None:
        while self._started and self._sample_step and self._next_sample <= tick:
            self._level_count = self._sample(self._next_sample)
            self._sender.sample(LEVEL, self._next_sample, self._sample_step, self._level_count)
            self._next_sample += self._sample_step

    def _sample(self, tick: int) -> int:
        if self._options.motion is None:
            return self._level_now(tick) + self._rng.randint(-1, 1)
        low, high = _STICK_COUNTS
        counts = low + (high - low) * self.bench.hand.place_at(self._counter.ns_of(tick))
        return round(counts + self._stick_rng.gauss(0.0, _STICK_NOISE_COUNTS))

    def _level_now(self, tick: int) -> int:
        if self._options.motion is not None:
            return self._sample(tick)
        if self._options.control is not Control.STICK:
            return _PACK_COUNTS
        low, high = _STICK_COUNTS
        return round(low + (high - low) * self.bench.stick.position_at(self._counter.ns_of(tick)))

    def _beat(self) -> None:
        self._agenda.plan(self.now_ns + HEARTBEAT_NS, self._beat)
        levels = {LINE_LEADS[line]: level for line, level in self.bench.levels.items()} | self._drives.levels
        heard = self.now_ns - self._heard_ns < HOST_GONE_NS
        beat = Heartbeat(
            start_id_low=self._start_id & 0xFF,
            tick=self._counter.tick_at(self.now_ns),
            lead_levels=sum(level << lead for lead, level in levels.items()),
            state=State.STARTED * self._started + State.HOST_HEARD * heard + State.AT_REST * self._drives.at_rest,
            muted=self._muted,
            last_levels=((LEVEL, self._level_count),),
            records_sent=self._sender.records_sent,
            high_water=self._sender.high_water,
            bad_received=self._bad_received,
            frames_sent=self._sender.frames_sent,
        )
        self._sender.frame(Kind.HEARTBEAT, pack_heartbeat(beat))

    # Coming up and going down --------------------------------------------------------------------------------------

    def _count_from(self, tick: int) -> TickCounter:
        return TickCounter(at_ns=self.now_ns, tick=tick, clock_ppm=self._options.clock_ppm)

    def _come_up(self) -> None:
        self._start_id = self._rng.getrandbits(32)
        self._splitter = FrameSplitter()
        self._bad_received = 0
        self._newest: Reply | None = None
        self._started = False
        self._mask = self._muted = 0
        self._sample_step = self._next_sample = 0
        self._level_count = self._level_now(self._counter.tick_at(self.now_ns))
        self._describe()

    def _reset(self) -> None:
        self._end_recording()
        self._drives.rest()
        self._counter = self._count_from(0)
        self._sender.reset()
        self._come_up()

    def _describe(self) -> None:
        board = descriptor.describe_board(self._options, self._start_id)
        self._sender.frame(Kind.DESCRIPTOR, pack_board(board, len(self._leads)))
        for lead in self._leads:
            self._sender.frame(Kind.DESCRIPTOR, pack_lead(lead))

    def _end_recording(self) -> None:
        self._started = False
        if self.recordings and self.recordings[-1][1] is None:
            self.recordings[-1] = (self.recordings[-1][0], self.now_ns)

    # Commands ------------------------------------------------------------------------------------------------------

    def _command(self, payload: bytes) -> None:
        self._heard_ns = heard_ns = self.now_ns
        self._agenda.plan(heard_ns + HOST_GONE_NS, lambda: self._miss_host(heard_ns))
        code, token = payload[0], payload[1]
        newest = self._newest
        if newest is None or (newest.command, newest.token) != (code, token):
            status = self._status_of(code, unpack_command(payload))
            tick = self._counter.tick_at(self.now_ns)
            self._newest = newest = Reply(command=code, token=token, status=status, tick=tick)
        self._sender.frame(Kind.REPLY, pack_reply(newest))
        if code == Commands.IDENTIFY and newest.status == Status.DONE:
            self._describe()

    def _status_of(self, code: int, command: Command | None) -> Status:
        if command is None:
            return Status.WRONG_FIELD if code in list(Commands) else Status.UNKNOWN_COMMAND
        return self._obey[command.command](command.fields)

    def _miss_host(self, heard_ns: int) -> None:
        if self._heard_ns == heard_ns:
            self._drives.rest()

    def _start(self, fields: Mapping[str, int]) -> Status:
        rate = fields["level_rate_hz"]
        if rate > _MOST_SAMPLES_A_SECOND:
            return Status.WRONG_FIELD
        self._sender.flush()
        self._end_recording()
        self._sender.records_sent = self._sender.high_water = 0
        self._mask, self._muted, self._started = fields["leads"], 0, True
        self._sample_step = TICK_HZ // rate if rate and self._mask >> LEVEL & 1 else 0
        self._next_sample = self._counter.tick_at(self.now_ns)
        self.recordings.append((self.now_ns, None))
        self.bench.begin_flipping()
        return Status.DONE

    def _stop(self, _fields: Mapping[str, int]) -> Status:
        self._sender.flush()
        self._end_recording()
        self.bench.end_flipping()
        self._drives.rest()
        return Status.DONE

    def _mute(self, fields: Mapping[str, int]) -> Status:
        lead, on = fields["lead"], fields["on"]
        if lead not in LINE_LEADS.values() or on > 1:
            return Status.WRONG_FIELD
        self._muted = self._muted & ~(1 << lead) | on << lead
        return Status.DONE

    # Driven leads --------------------------------------------------------------------------------------------------

    def _driven(self, lead: int, level: int) -> None:
        self._stamp(self.now_ns, lead, level)
        if lead == descriptor.FLIP:
            self.bench.throw()
        elif lead == descriptor.POWER:
            self.bench.power(level == 1)

    def _drive(self, fields: Mapping[str, int]) -> Status:
        if self._options.motion is not None and fields["lead"] in descriptor.HANDLES:
            return self._move_stick(fields["lead"], fields["level"])
        if not self._drives.can_drive(fields["lead"], fields["level"]):
            return Status.WRONG_FIELD
        self._drives.set(fields["lead"], fields["level"])
        return Status.DONE

    def _move_stick(self, lead: int, level: int) -> Status:
        if level > descriptor.HANDLES[lead]:
            return Status.WRONG_FIELD
        if lead == descriptor.PLACE:
            self.bench.put(level / descriptor.HANDLES[lead])
        elif level > 1:
            self.bench.move(Motion.STOPS, stops=level)
        else:
            self.bench.move(Motion.SWEEP if level else Motion.NONE)
        return Status.DONE

    def _drive_at(self, fields: Mapping[str, int]) -> Status:
        if not self._drives.can_drive(fields["lead"], fields["level"]):
            return Status.WRONG_FIELD
        now_tick = self._counter.tick_at(self.now_ns)
        ahead = (fields["tick"] - now_tick) % _TURN
        if ahead >= _HALF_TURN:
            return Status.NOT_NOW
        at_ns = max(self.now_ns, self._counter.ns_of(now_tick + ahead))
        self._drives.set_at(fields["lead"], fields["level"], at_ns)
        return Status.DONE

    def _servo(self, fields: Mapping[str, int]) -> Status:
        pulse_ns, period_ns = fields["pulse_ns"], fields["period_ns"]
        good = pulse_ns == 0 or _SHORTEST_SERVO_NS <= pulse_ns <= period_ns - _SHORTEST_SERVO_NS
        if fields["lead"] != descriptor.SERVO or not good:
            return Status.WRONG_FIELD
        self._drives.pulse(pulse_ns, period_ns)
        return Status.DONE

    def _lamp(self, fields: Mapping[str, int]) -> Status:
        if fields["lead"] != descriptor.LAMP or fields["duration_ms"] == 0:
            return Status.WRONG_FIELD
        self._drives.flash(fields["duration_ms"] * 1_000_000)
        return Status.DONE


def _status(good: bool) -> Status:
    return Status.DONE if good else Status.WRONG_FIELD
