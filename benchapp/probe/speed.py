"""Moves the talk with a probe to the fastest rate at which nothing is lost, and back where it is.

The board takes a new rate after its reply and keeps it from the first good ping on; without one within a second it
takes the change back. A rate is good when 20 pings in a row are answered and no frame is spoilt meanwhile.
Since the board keeps a rate from the first good ping on, the way back first tells it, then waits for it to go back by
itself.
"""

from typing import Protocol, runtime_checkable

from benchapp.probe.link import Link
from benchapp.probe.wire import Commands
from benchapp.records.errors import ProbeTrouble

START_RATE = 115_200
"""What every probe speaks after a reset: the boot loader's rate."""
RATES = (500_000, 250_000)
"""Tried in this order. Not 1,000,000: common USB bridges lose bytes there, and the chip's time is then the limit, not
the line's (10,500 edges a second)."""
PINGS = 20
TRIES = 3
ANSWER_NS = 100_000_000
"""A reply waits behind at most two frames, 12 ms at the first rate, and in a bridge for 16 ms."""
SETTLE_NS = 25_000_000
"""The board changes over within 9 ms of its reply; a bridge may hold the reply back for 16 ms."""
REVERTS_NS = 1_300_000_000
"""A change that was not proved is taken back after a second; a heartbeat follows within 0.1 s."""


@runtime_checkable
class RatedLink(Protocol):
    """A link whose rate can be changed: a serial port."""

    @property
    def rate(self) -> int:
        """How many bits a second are spoken."""

    def set_rate(self, rate: int) -> bool:
        """Speak at so many bits a second; return whether this port can."""


class Talk(Protocol):
    """What a conversation offers to whoever changes its rate."""

    def ask(self, command: Commands, within_ns: int, **fields: int) -> bool:
        """Send a command and return whether it was answered as done within the time."""

    def listen(self, within_ns: int) -> bool:
        """Return whether a good frame came within the time; come back as soon as one does."""

    def pause(self, for_ns: int) -> None:
        """Take what comes for so long."""

    @property
    def bad_frames(self) -> int:
        """How many spoilt frames have come."""


def settle_rate(link: Link, talk: Talk) -> None:
    """Move the talk to the fastest rate that is proved; it stays at START_RATE where none is.

    Takes 0.5 s where the first rate is good, and at most 15 s where the way back is hard to find. Raises ProbeTrouble
    where the probe is not heard any more at any rate.
    """
    if not isinstance(link, RatedLink):
        return
    for rate in RATES:
        if link.rate == rate:
            if _proved(talk):
                return
        elif _moved(link, talk, rate):
            return
        _retreat(link, talk, rate)


def _moved(link: RatedLink, talk: Talk, rate: int) -> bool:
    if not any(talk.ask(Commands.BAUD, ANSWER_NS, rate=rate) for _ in range(TRIES)):
        return False
    if not link.set_rate(rate):
        return False
    talk.pause(SETTLE_NS)
    return _proved(talk)


def _proved(talk: Talk) -> bool:
    """Return whether pings are answered without a spoilt frame; what the change itself spoilt does not count."""
    if not _answers(talk):
        return False
    before = talk.bad_frames
    return all(talk.ask(Commands.PING, ANSWER_NS) for _ in range(PINGS - 1)) and talk.bad_frames == before


def _answers(talk: Talk) -> bool:
    return any(talk.ask(Commands.PING, ANSWER_NS) for _ in range(TRIES))


def _retreat(link: RatedLink, talk: Talk, rate: int) -> None:
    """Go back to START_RATE with a board that is at either rate, on trial or for good."""
    for _ in range(TRIES):
        if link.rate != START_RATE:
            # A board that took the rate for good has to be told; one that is on trial takes it back by itself.
            any(talk.ask(Commands.BAUD, ANSWER_NS, rate=START_RATE) for _ in range(TRIES))
            link.set_rate(START_RATE)
            talk.pause(SETTLE_NS)
        if talk.listen(REVERTS_NS) and _answers(talk):
            return
        link.set_rate(rate)
    link.set_rate(START_RATE)
    raise ProbeTrouble(
        f"The probe was lost while its speed was changed to {rate} bit/s and back. Unplug it, plug it in again and try "
        "once more; a shorter cable or another socket may help."
    )
