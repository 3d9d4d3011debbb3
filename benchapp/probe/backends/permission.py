"""What to do where a serial port may not be opened: a rule for the system, or membership of a group."""

import os
import sys

RULE_FILE = "/etc/udev/rules.d/70-benchapp-probe.rules"
"""The number sorts the rule before the one that grants `uaccess` to whoever sits at the computer (73)."""


def rule_text(usb_id: str) -> str:
    """Return the text of the rule for one USB device (`vvvv:pppp`): open to its user, left alone by modem services."""
    vendor, product = usb_id.split(":")
    device = f'ENV{{DEVTYPE}}=="usb_device", ATTR{{idVendor}}=="{vendor}", ATTR{{idProduct}}=="{product}"'
    parents = f'ATTRS{{idVendor}}=="{vendor}", ATTRS{{idProduct}}=="{product}"'
    return (
        f'SUBSYSTEM=="usb", {device}, ENV{{ID_MM_DEVICE_IGNORE}}="1"\n'
        f'SUBSYSTEM=="tty", {parents}, ENV{{ID_MM_PORT_IGNORE}}="1", TAG+="uaccess"\n'
    )


def remedy(usb_id: str | None, group: str) -> str:
    """Return what a person can do to be allowed; without a USB id only the group helps."""
    by_group = f"join the group that may: `sudo usermod -aG {group} $USER`, then log out and in again"
    if usb_id is None:
        return f"To be allowed, {by_group}."
    return (
        f"To be allowed, write these two lines to {RULE_FILE}, run `sudo udevadm control --reload` and plug the probe "
        f"in again:\n{rule_text(usb_id)}Or {by_group}."
    )


def group_of(name: str) -> str:
    """Return the group that owns the port: its name differs from one system to the next."""
    if sys.platform == "win32":
        return "dialout"
    import grp  # noqa: PLC0415 - not on every system

    try:
        return grp.getgrgid(os.stat(name).st_gid).gr_name
    except (OSError, KeyError, ValueError):
        return "dialout"
