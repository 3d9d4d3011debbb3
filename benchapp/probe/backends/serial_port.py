"""A probe on a serial port."""

import errno
import os
import stat
import sys
import time

import serial

from benchapp.probe.backends.permission import remedy
from benchapp.probe.backends.port_list import list_ports
from benchapp.probe.link import Arrival
from benchapp.records.errors import PortBusy, PortGone, PortNotAllowed, ProbeTrouble, WrongCall
from benchapp.records.run import Origin

if sys.platform == "win32":
    _PORT_FAULTS: tuple[type[Exception], ...] = (OSError, TypeError, ValueError)
else:
    import termios

    # A port that vanishes raises a plain OSError, a SerialException (which is one) without a number, a termios.error,
    # or a TypeError, depending on which call it meets.
    _PORT_FAULTS = (OSError, TypeError, ValueError, termios.error)

START_BAUD = 115_200
"""The boot loader's rate: what every board can do."""
_READ_SIZE = 16_384
_READ_S = 0.020
# A descriptor request is 8 bytes: a port that takes none for a second takes none at all.
_WRITE_S = 1.0
_BUSY = (errno.EAGAIN, errno.EBUSY)
_FORBIDDEN = (errno.EACCES, errno.EPERM)


class SerialLink:
    """A Link over a serial port, held for this program alone. One thread opens, reads, writes and closes.

    Bytes that came within the 20 ms before the port vanished may be lost with it.
    """

    def __init__(self, name: str) -> None:
        """Open the port.

        Raises WrongCall for a path that is no port, PortGone, PortBusy or PortNotAllowed.
        """
        self._name = name
        _check_is_port(name)
        try:
            # exclusive: without it a second program opens silently and takes some of the bytes
            self._port = serial.Serial(
                name, START_BAUD, timeout=_READ_S, write_timeout=_WRITE_S, exclusive=None if os.name == "nt" else True
            )
        except _PORT_FAULTS as fault:
            raise _open_trouble(name, fault) from fault

    @property
    def name(self) -> str:
        """The port's name."""
        return self._name

    @property
    def origin(self) -> Origin:
        """A probe."""
        return Origin.PROBE

    def read(self) -> Arrival:
        """Return what came within 20 ms. Raises PortGone."""
        try:
            data = self._port.read(_READ_SIZE)
        except _PORT_FAULTS as fault:
            raise PortGone(_gone(self._name, fault)) from fault
        return Arrival(data=data, host_ns=time.monotonic_ns())

    def write(self, data: bytes) -> None:
        """Send the bytes. Raises PortGone, also where the port takes nothing for a second."""
        try:
            self._port.write(data)
        except serial.SerialTimeoutException as fault:
            raise PortGone(
                f"{self._name} takes no data: {len(data)} bytes waited {_WRITE_S:g} s. Plug the probe in again."
            ) from fault
        except _PORT_FAULTS as fault:
            raise PortGone(_gone(self._name, fault)) from fault

    def host_ns(self) -> int:
        """Return the computer's monotonic clock [ns]."""
        return time.monotonic_ns()

    def close(self) -> None:
        """Let go of the port, also of one that has vanished."""
        try:
            self._port.close()
        except _PORT_FAULTS:
            return  # a vanished port cannot be closed any better


def _check_is_port(name: str) -> None:
    if os.name == "nt":
        return
    try:
        mode = os.stat(name).st_mode
    except (OSError, ValueError):
        return  # opening it says what is wrong
    if not stat.S_ISCHR(mode):
        raise WrongCall(f"A serial port was expected, {name} is a file or a folder. {_ports_here()}")


def _open_trouble(name: str, fault: Exception) -> ProbeTrouble | WrongCall:
    number = getattr(fault, "errno", None)
    if number in _BUSY:
        return PortBusy(
            f"{name} is in use: another program holds it. Close that program (another copy of this one, a serial "
            "monitor, a modem service), choose another port, or use the practice bench."
        )
    if number in _FORBIDDEN:
        return PortNotAllowed(f"This user may not open {name}. {remedy(_usb_id(name), _group(name))}")
    if number in (errno.ENOENT, errno.ENXIO, errno.ENODEV, errno.EIO):
        return PortGone(f"There is no port {name}, or nothing is plugged in there. {_ports_here()}")
    return WrongCall(f"{name} cannot be used as a serial port ({fault}). {_ports_here()}")


def _gone(name: str, fault: Exception) -> str:
    if os.name != "nt" and os.path.exists(name):
        return (
            f"{name} stopped answering ({fault}), though it is still listed: its plug is loose, or another program "
            "reads it too. Close other programs that use it, check the plug, and connect again."
        )
    return f"{name} went away: the probe was unplugged or lost its power. Plug it in again."


def _ports_here() -> str:
    names = [port.name for port in list_ports()]
    return f"Ports here: {', '.join(names)}." if names else "No serial port is here: plug the probe in."


def _usb_id(name: str) -> str | None:
    return next((port.usb_id for port in list_ports() if port.name == name), None)


def _group(name: str) -> str:
    """Return the group that owns the port: its name differs from one system to the next."""
    if sys.platform == "win32":
        return "dialout"
    import grp  # noqa: PLC0415 - not on every system

    try:
        return grp.getgrgid(os.stat(name).st_gid).gr_name
    except (OSError, KeyError, ValueError):
        return "dialout"
