"""What the faults of a serial port are called, and what to do about each."""

import errno
import os
import re
import stat
import sys

from benchapp.probe.backends.permission import group_of, helping_group, remedy
from benchapp.probe.backends.port_list import list_ports
from benchapp.records.errors import NotOurProbe, PortBusy, PortGone, PortNotAllowed, ProbeTrouble, WrongCall

if sys.platform == "win32":
    PORT_FAULTS: tuple[type[Exception], ...] = (OSError, TypeError, ValueError)
else:
    import termios

    # A port that vanishes raises a plain OSError, a SerialException (which is one) without a number, a termios.error,
    # or a TypeError, depending on which call it meets.
    PORT_FAULTS = (OSError, TypeError, ValueError, termios.error)

_BUSY = (errno.EAGAIN, errno.EBUSY)
_FORBIDDEN = (errno.EACCES, errno.EPERM)
_NUMBERED = re.compile(r"\[Errno -?\d+\] ?|\(-?\d+, '([^']*)'\)")


def check_is_port(name: str) -> None:
    """Raise WrongCall for a path that is there and is no port."""
    if os.name == "nt":
        return
    try:
        mode = os.stat(name).st_mode
    except (OSError, ValueError):
        return  # opening it says what is wrong
    if not stat.S_ISCHR(mode):
        raise WrongCall(f"A serial port was expected, {name} is a file or a folder. {_ports_here()}")


def open_trouble(name: str, fault: Exception) -> ProbeTrouble | WrongCall:
    """Return what stood in the way of opening a port."""
    number = getattr(fault, "errno", None)
    if number in _BUSY:
        return PortBusy(
            f"{name} is in use: another program holds it. Close that program (another copy of this one, a serial "
            "monitor, a modem service), choose another port, or use the practice bench."
        )
    if number in _FORBIDDEN:
        return PortNotAllowed(
            f"This user may not open {name}. {remedy(usb_id_of(name), helping_group(name, group_of(name)))}"
        )
    if number in (errno.ENOENT, errno.ENXIO, errno.ENODEV, errno.EIO):
        return PortGone(f"There is no port {name}, or nothing is plugged in there. {_ports_here()}")
    if not isinstance(fault, OSError):
        return WrongCall(f"{name} cannot be used as a serial port ({_why(fault)}). {_ports_here()}")
    return NotOurProbe(
        f"{name} cannot be used as a serial port ({_why(fault)}). {_ports_here()}", kept="Nothing was sent to it."
    )


def gone(name: str, fault: Exception) -> PortGone:
    """Return what a port is that was open and fails."""
    if os.name != "nt" and os.path.exists(name):
        return PortGone(
            f"{name} stopped answering ({_why(fault)}), though it is still listed: its plug is loose, or another "
            "program reads it too. Close other programs that use it, check the plug, and connect again."
        )
    return PortGone(f"{name} went away: the probe was unplugged or lost its power. Plug it in again.")


def _why(fault: Exception) -> str:
    """Return why a port failed in the system's words: no number, and no call of a program, stands before them."""
    number = getattr(fault, "errno", None)
    if isinstance(number, int):
        return os.strerror(number)
    texts = [text for text in fault.args if isinstance(text, str)]  # a termios.error has a number before its text
    if not texts or isinstance(fault, TypeError):  # of which the text is about the program, not about the port
        return "the system gave no reason"
    return _NUMBERED.sub(r"\1", texts[-1])


def deaf(name: str, size: int, waited_s: float) -> PortGone:
    """Return what a port is that takes no bytes."""
    return PortGone(f"{name} takes no data: {size} bytes waited {waited_s:g} s. Plug the probe in again.")


def usb_id_of(name: str) -> str | None:
    """Return the USB id of a port, None where it has none."""
    return next((port.usb_id for port in list_ports() if port.name == name), None)


def _ports_here() -> str:
    names = [port.name for port in list_ports()]
    return f"Ports here: {', '.join(names)}." if names else "No serial port is here: plug the probe in."
