"""Opens the same probe's port again, also after the system gave it another name."""

from collections.abc import Callable, Sequence

from benchapp.probe.backends.port_list import PortFacts
from benchapp.probe.link import Link


class PortFollower:
    """Called, it returns an open link to the device that was on the port the first time.

    A device with a USB serial number is found by it under any name. One without is looked for under its own name, and
    under a name that was not there before if only one new port has its USB id; greeting it then shows whether it is the
    same probe.
    Another serial number in its descriptor is refused: a session is one probe's.
    """

    def __init__(
        self, port: str, *, open_port: Callable[[str], Link], list_ports: Callable[[], Sequence[PortFacts]]
    ) -> None:
        self._port = port
        self._open_port = open_port
        self._list_ports = list_ports
        self._facts: PortFacts | None = None
        self._others: frozenset[str] = frozenset()

    def __call__(self) -> Link:
        """Return an open link. Raises what opening raises."""
        here = self._list_ports()
        if self._facts is not None:
            return self._open_port(self._name_now(self._facts, here))
        link = self._open_port(self._port)
        self._facts = next((facts for facts in here if facts.name == self._port), None)
        self._others = frozenset(facts.name for facts in here)
        return link

    def _name_now(self, wanted: PortFacts, here: Sequence[PortFacts]) -> str:
        same_make = [facts for facts in here if facts.usb_id == wanted.usb_id]
        if wanted.serial_number:
            names = [facts.name for facts in same_make if facts.serial_number == wanted.serial_number]
            return names[0] if names else self._port
        names = [facts.name for facts in same_make if facts.usb_id and facts.name not in self._others]
        there = any(facts.name == self._port for facts in here)
        return names[0] if len(names) == 1 and not there else self._port
