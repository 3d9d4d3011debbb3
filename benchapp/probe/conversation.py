"""Keeps up the talk with one probe: greets it, starts it, reads it, and starts it again after a reset."""

from benchapp.probe.greeting import ASKED_MAX, PATIENCE_NS, greet
from benchapp.probe.link import Arrival, Link
from benchapp.probe.timebase import Output, StretchOpened, Timebase
from benchapp.probe.wire import Commands, Decoder, pack_command
from benchapp.records.errors import NotOurProbe, ProbeTrouble
from benchapp.records.leads import Stretch

LEVEL_RATE_HZ = 250
"""Samples a second and level lead: four of them share the converter of the first board, 1 kS/s."""
_ALL_LEADS = 0xFFFF
_RETRY_NS = 500_000_000
_START_TRIES = 4
# Driven leads go to rest after 2 s without a host: half of that leaves room for one lost frame.
_PING_NS = 1_000_000_000


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

    @property
    def stretch(self) -> Stretch | None:
        """The open stretch; None before begin() and between a reset and the next start."""
        return self.timebase.stretch

    @property
    def silent_ns(self) -> int:
        """How long no good frame has come [ns on the link's host clock]; a heartbeat is due every 0.1 s."""
        return self.link.host_ns() - self._heard_ns

    def begin(self) -> list[Output]:
        """Return the first outputs, among them the stretch that opened. Takes 4 s and more of a probe that is slow.

        Raises NotOurProbe where no probe answers, ProbeTrouble where it answers but does not start.
        """
        messages = greet(self.link, self._decoder, ask=self._identify, patience_ns=self._patience_ns)
        outputs = self.timebase.feed(messages, self.link.host_ns())
        while not any(isinstance(output, StretchOpened) for output in outputs):
            outputs += self.read()
        return outputs

    def read(self) -> list[Output]:
        """Return what came, at once or after at most 20 ms of silence.

        Sends what keeps the probe going: identify and start after a reset, a ping while a lead is driven.
        """
        self._look_after(self.link.host_ns())
        arrival = self.link.read()
        return self._take(arrival)

    def send(self, command: Commands, **fields: int) -> int:
        """Return the token under which the command was sent; its Answer carries the same."""
        self._token = self._token % 0xFF + 1
        self._write(command, self._token, **fields)
        self._driven = command not in (Commands.STOP, Commands.START) and (
            self._driven or command in (Commands.DRIVE, Commands.DRIVE_AT, Commands.SERVO)
        )
        return self._token

    def reconnect(self, link: Link) -> list[Output]:
        """Return the first outputs after the probe was plugged in again; the stretch before has ended."""
        self.timebase.unplugged()
        self.link, self._decoder = link, Decoder()
        self._asking, self._driven, self._heard_ns = None, False, link.host_ns()
        return self.begin()

    def close(self) -> None:
        """Stop the probe, if it can still be told, and let go of the link."""
        try:
            self.send(Commands.STOP)
        except ProbeTrouble:
            pass  # the link went away: driven leads go to rest by themselves
        finally:
            self.link.close()

    def _take(self, arrival: Arrival) -> list[Output]:
        messages = self._decoder.feed(arrival.data)
        if messages:
            self._heard_ns = arrival.host_ns
        outputs = self.timebase.feed(messages, arrival.host_ns)
        if any(isinstance(output, StretchOpened) for output in outputs):
            self._asking = None
        return outputs

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
        fields = {"leads": _ALL_LEADS, "level_rate_hz": self._level_rate_hz}
        if self._asked == 1:
            self.send(Commands.START, **fields)
        else:
            self._write(Commands.START, self._token, **fields)  # the same token: a repeat is not done again

    def _write(self, command: Commands, token: int, **fields: int) -> None:
        self.link.write(pack_command(command, token, seq=self._seq, **fields))
        self._seq = (self._seq + 1) & 0xFF
        self._sent_ns = self.link.host_ns()
