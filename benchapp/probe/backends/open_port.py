"""Opens a serial port for this program alone, and sends through it."""

import os

import serial

from benchapp.probe.backends.port_faults import PORT_FAULTS, check_is_port, deaf, gone, open_trouble

# A descriptor request is 8 bytes: a port that takes none for a second takes none at all.
WRITE_S = 1.0


def open_port(name: str, rate: int, *, read_s: float) -> serial.Serial:
    """Return an open port. Raises WrongCall for a path that is no port, PortGone, PortBusy or PortNotAllowed."""
    check_is_port(name)
    try:
        # exclusive: without it a second program opens silently and takes some of the bytes
        return serial.Serial(
            name, rate, timeout=read_s, write_timeout=WRITE_S, exclusive=None if os.name == "nt" else True
        )
    except PORT_FAULTS as fault:
        raise open_trouble(name, fault) from fault


def send(port: serial.Serial, data: bytes, *, name: str) -> None:
    """Send the bytes through an open port. Raises PortGone, also where the port takes nothing for a second."""
    try:
        port.write(data)
    except serial.SerialTimeoutException as fault:
        raise deaf(name, len(data), WRITE_S) from fault
    except PORT_FAULTS as fault:
        raise gone(name, fault) from fault
