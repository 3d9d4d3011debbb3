"""Opens a link by its name: the only place that knows which back ends there are."""

from collections.abc import Callable
from pathlib import Path

from benchapp.probe import greeting
from benchapp.probe.backends import port_list
from benchapp.probe.backends.boot_port import SerialBootPort
from benchapp.probe.backends.serial_port import SerialLink
from benchapp.probe.boot_loader import BootPort
from benchapp.probe.following import PortFollower
from benchapp.probe.link import Link
from benchapp.probe.messages import BoardFrame
from benchapp.probe.practice.hand import Motion
from benchapp.probe.practice.link import open_practice
from benchapp.probe.practice.options import Control, Flips
from benchapp.probe.practice.url import parse_practice_url, with_motion
from benchapp.probe.wire import Decoder
from benchapp.records.errors import WrongCall
from benchapp.records.leads import Board
from benchapp.records.named_tests import Parts
from benchapp.records.run import RunSettings

PRACTICE = "practice://"
MOTIONS: Parts[Callable[[str, RunSettings], str]] = Parts("benchapp.probe.practice.for_{}")
"""How the practice bench does what a test asks for: the URL that says so; a test without one is left alone."""


def url_for_test(url: str, test: str, settings: RunSettings) -> str:
    """Return the URL under which the practice bench does what a test asks for, where the URL leaves that open.

    Its hand moves the stick as a sweep or a hold asks; over several switch-ons each has an offset drawn anew, the first
    one too. A port's name, and the URL of flips in one switch-on, stay as they are.
    """
    if not url.lower().startswith(PRACTICE):
        return url
    motion = MOTIONS.find(test)
    return url if motion is None else motion(url, settings)


def url_for_window(url: str, *, stroke_s: float, speeds: tuple[float, ...]) -> str:
    """Return the URL under which the practice bench in a window has everything: a switch, and a stick left alone.

    The stick goes by these strokes and speeds once it is told to. What the URL names stays as it is, and so does a
    URL whose control is the stick itself; without a word of flips the bench flips as ever. Raises WrongCall for a
    practice URL that is wrong.
    """
    if not url.lower().startswith(PRACTICE) or parse_practice_url(url).options.control is Control.STICK:
        return url
    said = ",".join(f"{speed:g}" for speed in speeds)
    return with_motion(url, Motion.NONE, flips=Flips.RANDOM.value, stroke_s=f"{stroke_s:g}", speeds=said)


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


def open_boot_port(name: str) -> BootPort:
    """Return an open serial port through which a board's boot loader can be reached.

    Raises WrongCall for what is no port's name; ProbeTrouble for a port's faults.
    """
    if not name or "://" in name:
        raise WrongCall(f"A serial port's name was expected, got {name!r}.")
    return SerialBootPort(name)


def follow_link(url: str, *, pace: str = "flat") -> Callable[[], Link]:
    """Return what opens a link at each call: the first time what the URL names, then the same device again."""
    if url.lower().startswith(PRACTICE):
        return lambda: open_practice(url, pace=pace, truth=None)
    return PortFollower(url, open_port=open_link, list_ports=list_ports)


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
