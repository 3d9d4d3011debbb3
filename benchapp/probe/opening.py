"""Opens a link by its name: the only place that knows which back ends there are."""

from pathlib import Path

from benchapp.probe import greeting
from benchapp.probe.backends import port_list
from benchapp.probe.backends.serial_port import SerialLink
from benchapp.probe.link import Link
from benchapp.probe.messages import BoardFrame
from benchapp.probe.practice.link import open_practice
from benchapp.probe.wire import Decoder
from benchapp.records.errors import WrongCall
from benchapp.records.leads import Board

PRACTICE = "practice://"


def open_link(url: str, *, pace: str = "flat", truth: Path | None = None) -> Link:
    """Return an open link to what the URL names: a serial port, or `practice://RADIO?key=value&…`.

    pace is the practice bench's, where its URL names none; truth is the file it shall write what it knows to.
    Raises WrongCall for a URL nothing here can open and for a truth asked of a port; ProbeTrouble for a port's faults.
    """
    if url.lower().startswith(PRACTICE):
        return open_practice(url, pace=pace, truth=truth)
    if truth is not None:
        raise WrongCall(f"Only the practice bench knows the truth; {url} is a port. Leave --truth out.")
    if not url or "://" in url:
        raise WrongCall(f"A serial port's name or {PRACTICE}RADIO was expected, got {url!r}.")
    return SerialLink(url)


def list_ports() -> list[port_list.PortFacts]:
    """Return the serial ports of this computer, by name; none is opened."""
    return port_list.list_ports()


def greet(port: str, *, patience_ns: int = greeting.PATIENCE_NS) -> Board:
    """Return the board that answers on a port or a practice URL; the link is closed again.

    Raises NotOurProbe where none answers in time, and what open_link raises.
    """
    link = open_link(port)
    try:
        messages = greeting.greet(link, Decoder(), patience_ns=patience_ns)
    finally:
        link.close()
    return next(message.board for message in messages if isinstance(message, BoardFrame))
