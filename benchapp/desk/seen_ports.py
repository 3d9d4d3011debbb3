"""Which ports have had a probe on them: any other is opened only after somebody agreed.

Opening a port can reset the board behind it, and nobody knows what an unknown board drives.
A port counts as known if it calls itself a probe, or if a probe answered on it before: told by USB id and serial
number, else by USB id and name. A stranger that was greeted on request and did not answer as a probe is asked about
again.
"""

from pathlib import Path

from benchapp.desk.data_folder import data_folder
from benchapp.desk.memory_file import read_memory, write_memory
from benchapp.probe.backends.port_list import PortFacts
from benchapp.probe.opening import list_ports

KIND = "benchapp seen ports 1"
_MOST = 200
_LONGEST = 300


def seen_ports_file() -> Path:
    """Return the file they are usually remembered in."""
    return data_folder() / "seen-ports.json"


def port_key(facts: PortFacts) -> str:
    """Return what stays the same when a device is plugged into another socket: its serial number, where it has one.

    Without one the port's name is part of the key: two boards of one make cannot be told apart any better.
    """
    if facts.usb_id and facts.serial_number:
        return f"usb {facts.usb_id} {facts.serial_number}"[:_LONGEST]
    return f"port {facts.name} {facts.usb_id or ''}".strip()[:_LONGEST]


def is_seen(port: str, file: Path | None = None) -> bool:
    """Return whether a port may be opened without asking: it calls itself a probe, or a probe answered on it before."""
    facts = port_facts(port)
    return facts.known or port_key(facts) in _seen(file or seen_ports_file())


def is_there(port: str) -> bool:
    """Return whether there is such a port to be opened at all: one that is listed, or a device of that name."""
    if any(facts.name == port for facts in list_ports()):
        return True
    try:
        return Path(port).is_char_device()
    except (OSError, ValueError):
        return False


def remember_port(port: str, file: Path | None = None) -> None:
    """Remember that a probe answers on this port. Raises DiskTrouble."""
    where = file or seen_ports_file()
    key, seen = port_key(port_facts(port)), _seen(where)
    if key in seen:
        return
    # The newest last; the oldest go when there are too many.
    write_memory(where, kind=KIND, held={"ports": [*seen, key][-_MOST:]})


def port_facts(port: str) -> PortFacts:
    """Return what is known of a port without opening it; of one that is not listed, only its name."""
    listed = next((facts for facts in list_ports() if facts.name == port), None)
    return listed or PortFacts(name=port, words="", serial_number=None, usb_id=None, known=False)


def _seen(file: Path) -> list[str]:
    ports = read_memory(file, kind=KIND).get("ports")
    if not isinstance(ports, list):
        return []
    return [key for key in ports[-_MOST:] if isinstance(key, str) and len(key) <= _LONGEST]
