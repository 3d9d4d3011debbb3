"""A probe on a serial port."""

import time

from benchapp.probe.backends.open_port import open_port, send
from benchapp.probe.backends.port_faults import PORT_FAULTS, gone
from benchapp.probe.link import Arrival
from benchapp.probe.speed import START_RATE
from benchapp.records.run import Origin

_READ_SIZE = 16_384
_READ_S = 0.020


class SerialLink:
    """A Link over a serial port, held for this program alone. One thread opens, reads, writes and closes.

    Bytes that came within the 20 ms before the port vanished may be lost with it.
    """

    def __init__(self, name: str) -> None:
        """Open the port.

        Raises WrongCall for a path that is no port, PortGone, PortBusy or PortNotAllowed.
        """
        self._name = name
        self._port = open_port(name, START_RATE, read_s=_READ_S)

    @property
    def name(self) -> str:
        """The port's name."""
        return self._name

    @property
    def origin(self) -> Origin:
        """Where the evidence comes from: a probe."""
        return Origin.PROBE

    @property
    def rate(self) -> int:
        """How many bits a second are spoken."""
        return self._port.baudrate

    def set_rate(self, rate: int) -> bool:
        """Speak at so many bits a second; return whether this port can. Raises PortGone."""
        before = self._port.baudrate
        try:
            self._port.baudrate = rate
        except ValueError:  # what pyserial makes of a rate the system refuses
            self._port.baudrate = before
            return False
        except PORT_FAULTS as fault:
            raise gone(self._name, fault) from fault
        return True

    def read(self) -> Arrival:
        """Return what came within 20 ms. Raises PortGone."""
        try:
            data = self._port.read(_READ_SIZE)
        except PORT_FAULTS as fault:
            raise gone(self._name, fault) from fault
        return Arrival(data=data, host_ns=time.monotonic_ns())

    def write(self, data: bytes) -> None:
        """Send the bytes. Raises PortGone, also where the port takes nothing for a second."""
        send(self._port, data, name=self._name)

    def host_ns(self) -> int:
        """Return the computer's monotonic clock [ns]."""
        return time.monotonic_ns()

    def close(self) -> None:
        """Let go of the port, also of one that has vanished."""
        try:
            self._port.close()
        except PORT_FAULTS:
            return  # a vanished port cannot be closed any better
