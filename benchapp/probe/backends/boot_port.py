"""A serial port with a board on it that is to be put into its boot loader."""

import time

from benchapp.probe.backends.open_port import open_port, send
from benchapp.probe.backends.port_faults import PORT_FAULTS, gone
from benchapp.probe.speed import START_RATE

_LINES_DOWN_S = 0.1
"""The boards' capacitor turns the fall of a line into a short pulse; it needs this long to be ready again."""
_WAKES_S = 0.05


class SerialBootPort:
    """A BootPort over a serial port, held for this program alone."""

    def __init__(self, name: str) -> None:
        """Open the port. Raises WrongCall for a path that is no port, PortGone, PortBusy or PortNotAllowed."""
        self._name = name
        self._port = open_port(name, START_RATE, read_s=0.0)

    @property
    def name(self) -> str:
        """The port's name."""
        return self._name

    def set_rate(self, rate: int) -> None:
        """Speak at so many bits a second. Raises PortGone."""
        try:
            self._port.baudrate = rate
        except PORT_FAULTS as fault:
            raise gone(self._name, fault) from fault

    def reset(self) -> None:
        """Pulse DTR and RTS. Raises PortGone; a port without these lines is left as it is."""
        for up in (False, True):
            self._lines(up)
            time.sleep(_LINES_DOWN_S if not up else _WAKES_S)
        self.forget()

    def forget(self) -> None:
        """Throw away what has come. Raises PortGone."""
        try:
            self._port.reset_input_buffer()
        except PORT_FAULTS as fault:
            raise gone(self._name, fault) from fault

    def write(self, data: bytes) -> None:
        """Send the bytes. Raises PortGone, also where the port takes nothing for a second."""
        send(self._port, data, name=self._name)

    def read(self, count: int, within_s: float) -> bytes:
        """Return so many bytes, or as many as came within the time. Raises PortGone."""
        try:
            if self._port.timeout != within_s:  # setting it costs two system calls
                self._port.timeout = within_s
            return bytes(self._port.read(count))
        except PORT_FAULTS as fault:
            raise gone(self._name, fault) from fault

    def close(self) -> None:
        """Let go of the port, also of one that has vanished."""
        try:
            self._port.close()
        except PORT_FAULTS:
            return  # a vanished port cannot be closed any better

    def _lines(self, up: bool) -> None:
        try:
            self._port.dtr = up
            self._port.rts = up
        except PORT_FAULTS:
            return  # a pseudo-terminal has no such lines; a vanished port says so at the next read
