"""Opens a serial port for this program alone."""

import os

import serial

from benchapp.probe.backends.port_faults import PORT_FAULTS, check_is_port, open_trouble

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
