"""The serial ports of this computer, and which of them answers as a probe."""

from dataclasses import dataclass

from benchapp.probe.backends.port_list import PortFacts
from benchapp.probe.opening import greet, list_ports
from benchapp.records.errors import ProbeTrouble
from benchapp.records.leads import Board


@dataclass(frozen=True, kw_only=True, slots=True)
class Port:
    """One port. board is what answered as a probe; trouble why none did; neither where it was not greeted."""

    facts: PortFacts
    board: Board | None = None
    trouble: str = ""

    @property
    def name(self) -> str:
        """What to open."""
        return self.facts.name


def ports() -> list[Port]:
    """Return the ports, by name; none is opened."""
    return [Port(facts=facts) for facts in list_ports()]


def greeted_ports(*, everyone: bool) -> list[Port]:
    """Return the ports, by name; those known as a probe are greeted, the others only with everyone."""
    return [_greeted(facts) if facts.known or everyone else Port(facts=facts) for facts in list_ports()]


def _greeted(facts: PortFacts) -> Port:
    try:
        return Port(facts=facts, board=greet(facts.name))
    except ProbeTrouble as trouble:
        return Port(facts=facts, trouble=trouble.message)
