"""The serial ports of this computer, as a person would tell them apart."""

from dataclasses import dataclass

from serial.tools.list_ports import comports

PRODUCT = "Thumb to Horn probe"
"""What a probe with a USB port of its own calls itself; a probe behind a common bridge cannot be told by its name."""


@dataclass(frozen=True, kw_only=True, slots=True)
class PortFacts:
    """One serial port. usb_id is `vvvv:pppp` in lower-case hexadecimal; serial_number stays when the name changes.

    known: the port calls itself a probe, so that it may be greeted without being asked to.
    """

    name: str
    words: str
    serial_number: str | None
    usb_id: str | None
    known: bool


def list_ports() -> list[PortFacts]:
    """Return the serial ports, by name; none is opened."""
    found = [
        PortFacts(
            name=port.device,
            words=port.description if port.description not in (None, "", "n/a") else "",
            serial_number=port.serial_number,
            usb_id=None if port.vid is None or port.pid is None else f"{port.vid:04x}:{port.pid:04x}",
            known=port.product == PRODUCT,
        )
        for port in comports()
    ]
    return sorted(found, key=lambda port: port.name)
