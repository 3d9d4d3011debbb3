"""Keeps up the talk with one probe: greets it, starts it, reads it, and starts it again after a reset.

A board that opening did not reset is found by its heartbeats at whatever rate it speaks, with nothing sent; one that
resets in the middle is listened for at 115,200 after 0.4 s of silence.
"""

from benchapp.probe.greeting import ASKED_MAX, PATIENCE_NS, greet
from benchapp.probe.link import Arrival, Link
from benchapp.probe.messages import BoardFrame, Message
from benchapp.probe.speed import START_RATE, RatedLink, settle_rate
from benchapp.probe.timebase import Answer, Output, StretchOpened, Timebase
from benchapp.probe.wire import Commands, Decoder, Status, pack_command
from benchapp.records.errors import NotOurProbe, OtherProbe, ProbeTrouble
from benchapp.records.leads import Stretch
from benchapp.records.run import Origin

LEVEL_RATE_HZ = 250
"""Samples a second and level lead: four of them share the converter of the first board, 1 kS/s."""
SLOW_LEVEL_RATE_HZ = 100
"""The same where no faster rate than the first one holds: it leaves room for 1,700 edges a second beside them."""
_ALL_LEADS = 0xFFFF
_RETRY_NS = 500_000_000
_START_TRIES = 4
# Driven leads go to rest after 2 s without a host: half of that leaves room for one lost frame.
_PING_NS = 1_000_000_000
# A probe that was reset speaks at its first rate: after four missing heartbeats it is listened for there, in turns.
_HUNT_NS = 400_000_000


class Conversation:
    """One session's talk with a probe. One thread calls it; every fault is a ProbeTrouble.

    begin() once, then read() for ever. After PortGone, reconnect() with a new link opens the next stretch.
    """

    def __init__(self, link: Link, *, level_rate_hz: int = LEVEL_RATE_HZ, patience_ns: int = PATIENCE_NS) -> None:
        self.link = link
        self.timebase = Timebase()
        self._level_rate_hz = level_rate_hz
        self._patience_ns = patience_ns
        self._decoder = Decoder()
        self._seq = self._token = 0
        self._asking: Commands | None = None
        self._asked = self._asked_ns = 0
        self._driven, self._sent_ns, self._heard_ns = False, 0, link.host_ns()
        self._read_ns = self._heard_ns
        self._hunted_ns = 0
        self._fast = START_RATE
        self._serial = ""
        self._waiting: list[Output] = []

    @property
    def stretch(self) -> Stretch | None:
        """The open stretch; None before begin() and between a reset and the next start."""
        return self.timebase.stretch

    @property
    def silent_ns(self) -> int:
        """How long no good frame has come, by the last read [ns]; a heartbeat is due every 0.1 s.

        What passes between two reads is not counted: nobody listened, and what came then still waits to be read.
        (It was counted once: a computer that stalled for 3 s had then lost its probe.)
        """
        return self._read_ns - self._heard_ns

    def begin(self) -> list[Output]:
        """Return the first outputs, among them the stretch that opened. Takes 4 s and more of a probe that is slow.

        Raises NotOurProbe where no probe answers, ProbeTrouble where it answers but does not start.
        """
        messages = greet(self.link, self._decoder, ask=self._identify, patience_ns=self._patience_ns)
        self._check_same(messages)
        self._heard_ns = self._read_ns = self.link.host_ns()
        outputs = self.timebase.feed(messages, self._heard_ns)
        while not any(isinstance(output, StretchOpened) for output in outputs):
            outputs += self.read()
        return outputs

    def read(self) -> list[Output]:
        """Return what came, at once or after at most 20 ms of silence.

        Sends what keeps the probe going: identify and start after a reset, a ping while a lead is driven.
        """
        now_ns = self.link.host_ns()
        self._heard_ns += max(0, now_ns - self._read_ns)
        self._look_after(now_ns)
        outputs = self._take(self.link.read())
        outputs, self._waiting = [*self._waiting, *outputs], []
        return outputs

    def send(self, command: Commands, **fields: int) -> int:
        """Return the token under which the command was sent; its Answer carries the same."""
        self._token = self._token % 0xFF + 1
        self._write(command, self._token, **fields)
        self._driven = command not in (Commands.STOP, Commands.START) and (
            self._driven or command in (Commands.DRIVE, Commands.DRIVE_AT, Commands.SERVO)
        )
        return self._token

    def reconnect(self, link: Link) -> list[Output]:
        """Return the first outputs after the probe was plugged in again; the stretch before has ended.

        Raises OtherProbe where the probe that answers has another serial number.
        """
        self.timebase.unplugged()
        self.link, self._decoder = link, Decoder()
        self._asking, self._driven, self._heard_ns = None, False, link.host_ns()
        self._read_ns = self._heard_ns
        self._waiting = []
        return self.begin()

    def close(self) -> None:
        """Stop the probe, if it can still be told, and let go of the link."""
        try:
            self.send(Commands.STOP)
        except ProbeTrouble:
            pass  # the link went away: driven leads go to rest by themselves
        finally:
            self.link.close()

    def ask(self, command: Commands, within_ns: int, **fields: int) -> bool:
        """Send a command and return whether it was answered as done within the time; the rest comes with read()."""
        token, until_ns = self.send(command, **fields), self.link.host_ns() + within_ns
        while self.link.host_ns() < until_ns:
            outputs = self._take(self.link.read())
            self._waiting += outputs
            answers = [answer for answer in outputs if isinstance(answer, Answer) and answer.command == command]
            if any(answer.token == token for answer in answers):
                return any(answer.token == token and answer.status == Status.DONE for answer in answers)
        return False

    def listen(self, within_ns: int) -> bool:
        """Return whether a good frame came within the time; come back as soon as one does."""
        before_ns, until_ns = self._heard_ns, self.link.host_ns() + within_ns
        while self._heard_ns == before_ns and self.link.host_ns() < until_ns:
            self._waiting += self._take(self.link.read())
        return self._heard_ns != before_ns

    def pause(self, for_ns: int) -> None:
        """Take what comes for so long."""
        until_ns = self.link.host_ns() + for_ns
        while self.link.host_ns() < until_ns:
            self._waiting += self._take(self.link.read())

    @property
    def bad_frames(self) -> int:
        """How many spoilt frames have come."""
        return self._decoder.bad_frames

    def _check_same(self, messages: list[Message]) -> None:
        """Remember the probe's serial number at the first greeting; later it must be the same."""
        if self.link.origin is not Origin.PROBE:
            return  # a practice bench is no particular probe
        serial = next((message.board.serial for message in messages if isinstance(message, BoardFrame)), "")
        if self._serial and serial and serial != self._serial:
            raise OtherProbe(
                f"Another probe answers on {self.link.name}: its serial number is {serial}, the one that was lost has "
                f"{self._serial}. Plug that one in again, or begin a new session with this one."
            )
        self._serial = self._serial or serial

    def _take(self, arrival: Arrival) -> list[Output]:
        messages = self._decoder.feed(arrival.data)
        self._read_ns = arrival.host_ns
        if messages:
            self._heard_ns = arrival.host_ns
        elif isinstance(self.link, RatedLink):
            self._hunt(self.link, arrival.host_ns)
        outputs = self.timebase.feed(messages, arrival.host_ns)
        if any(isinstance(output, StretchOpened) for output in outputs):
            self._asking = None
        return outputs

    def _hunt(self, link: RatedLink, now_ns: int) -> None:
        """Listen at the other rate for a probe that is not heard at this one; not while the rate is being moved."""
        if self._fast != START_RATE and now_ns - max(self._heard_ns, self._hunted_ns) >= _HUNT_NS:
            self._hunted_ns = now_ns
            link.set_rate(START_RATE if link.rate == self._fast else self._fast)

    def _look_after(self, now_ns: int) -> None:
        if self.timebase.needs_identify:
            if self._due(Commands.IDENTIFY, now_ns, self._patience_ns // ASKED_MAX):
                if self._asked > ASKED_MAX:
                    raise NotOurProbe(self._trouble("restarted and no longer says what it is"))
                self._identify()
        elif self.timebase.needs_start:
            if self._due(Commands.START, now_ns, _RETRY_NS):
                if self._asked > _START_TRIES:
                    raise ProbeTrouble(self._trouble("says what it is but does not start"))
                self._start()
        elif self._driven and now_ns - self._sent_ns >= _PING_NS:
            self.send(Commands.PING)

    def _due(self, command: Commands, now_ns: int, every_ns: int) -> bool:
        """Return whether to ask this now, and count how often it was asked in a row."""
        if command is not self._asking:
            self._asking, self._asked = command, 0
        elif now_ns - self._asked_ns < every_ns:
            return False
        self._asked, self._asked_ns = self._asked + 1, now_ns
        return True

    def _trouble(self, what: str) -> str:
        return f"The probe on {self.link.name} {what}. Unplug it, plug it in again and try once more."

    def _identify(self) -> None:
        self.send(Commands.IDENTIFY)

    def _start(self) -> None:
        if self._asked == 1:
            self._settle()
        fields = {"leads": _ALL_LEADS, "level_rate_hz": self._level_rate_for(self.link)}
        if self._asked == 1:
            self.send(Commands.START, **fields)
        else:
            self._write(Commands.START, self._token, **fields)  # the same token: a repeat is not done again

    def _settle(self) -> None:
        self._fast = START_RATE
        settle_rate(self.link, self)
        if isinstance(self.link, RatedLink):
            self._fast = self.link.rate
        self._asked_ns = self.link.host_ns()

    def _level_rate_for(self, link: Link) -> int:
        slow = isinstance(link, RatedLink) and link.rate == START_RATE
        return min(self._level_rate_hz, SLOW_LEVEL_RATE_HZ) if slow else self._level_rate_hz

    def _write(self, command: Commands, token: int, **fields: int) -> None:
        self.link.write(pack_command(command, token, seq=self._seq, **fields))
        self._seq = (self._seq + 1) & 0xFF
        self._sent_ns = self.link.host_ns()
