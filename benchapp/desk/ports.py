"""The serial ports of this computer, and which of them answers as a probe."""

from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from benchapp.desk.seen_ports import is_seen, remember_port
from benchapp.probe.backends.port_list import PortFacts
from benchapp.probe.opening import greet, list_ports
from benchapp.records.errors import DiskTrouble, ProbeTrouble
from benchapp.records.leads import Board


@dataclass(frozen=True, kw_only=True, slots=True)
class Port:
    """One port. board is what answered as a probe; trouble why none did; neither where it was not greeted.

    seen: a probe was on it before, or it calls itself one; any other is opened only after somebody agreed.
    trouble_kind names the class of the trouble in `records.errors`.
    """

    facts: PortFacts
    board: Board | None = None
    trouble: str = ""
    trouble_kind: str = ""
    seen: bool = False

    @property
    def name(self) -> str:
        """The port's name, by which it is opened."""
        return self.facts.name

    @property
    def words(self) -> str:
        """What the device calls itself, "" where it says nothing."""
        return self.facts.words

    @property
    def identified(self) -> bool:
        """Whether the device has a USB identity, as every board a probe can be made of has."""
        return self.facts.usb_id is not None


def ports(seen_file: Path | None = None) -> list[Port]:
    """Return the ports, by name; none is opened."""
    return [Port(facts=facts, seen=is_seen(facts.name, seen_file)) for facts in list_ports()]


def greeted_ports(*, everyone: bool, seen_file: Path | None = None) -> list[Port]:
    """Return the ports, by name; those known as a probe are greeted, the others only with everyone.

    Blocks for up to 3 s a port. A port on which a probe answers is remembered.
    """
    return [
        _greeted(port.facts, seen_file) if port.seen or port.facts.known or everyone else port
        for port in ports(seen_file)
    ]


def greet_port(name: str, *, seen_file: Path | None = None) -> Board:
    """Return the probe that answers on a port, and remember the port. Blocks for up to 3 s.

    Call it only for a port that `is_seen`, or after somebody agreed. Raises the ProbeTrouble that stood in the way:
    PortBusy, PortGone, PortNotAllowed, NoProbeProgram, NotOurProbe, OldProbeProgram, NewerProbeProgram.
    """
    board = greet(name)
    with suppress(DiskTrouble):  # then the next time somebody is asked again
        remember_port(name, seen_file)
    return board


def _greeted(facts: PortFacts, seen_file: Path | None) -> Port:
    try:
        return Port(facts=facts, board=greet_port(facts.name, seen_file=seen_file), seen=True)
    except ProbeTrouble as trouble:
        return Port(
            facts=facts,
            trouble=trouble.message,
            trouble_kind=type(trouble).__name__,
            seen=is_seen(facts.name, seen_file),
        )
