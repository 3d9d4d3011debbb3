"""What to do where a serial port may not be opened: a rule for the system, or membership of a group."""

import os
import stat
import sys
from contextlib import suppress

_GROUP_MAY = stat.S_IRGRP | stat.S_IWGRP
_ASK = "Ask whoever looks after this computer to let you use it, or choose another port."
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
    """Return what a person can do to be allowed; usb_id None, or group "", where that way would not help."""
    by_group = f"join the group that may: `sudo usermod -aG {group} $USER`, then log out and in again"
    if usb_id is None:
        return f"To be allowed, {by_group}." if group else _ASK
    by_rule = (
        f"To be allowed, write these two lines to {RULE_FILE}, run `sudo udevadm control --reload` and plug the probe "
        f"in again:\n{rule_text(usb_id)}"
    )
    return f"{by_rule}Or {by_group}." if group else by_rule.rstrip()


def helping_group(name: str, group: str) -> str:
    """Return the group that owns the port where joining it would open the port, else "".

    It would not where the group itself may not read and write, or where this user is in it already; and nobody is
    told to join root, which may do everything.
    """
    try:
        mode = os.stat(name).st_mode
    except (OSError, ValueError):
        return ""
    may = mode & _GROUP_MAY == _GROUP_MAY
    return group if may and group != "root" and group not in _own_groups() else ""


def _own_groups() -> frozenset[str]:
    """Return the groups this program runs in."""
    if sys.platform == "win32":
        return frozenset()
    import grp  # noqa: PLC0415 - not on every system

    names = set()
    for number in (*os.getgroups(), os.getegid()):
        with suppress(KeyError):  # a number without a name
            names.add(grp.getgrgid(number).gr_name)
    return frozenset(names)


def group_of(name: str) -> str:
    """Return the group that owns the port: its name differs from one system to the next."""
    if sys.platform == "win32":
        return "dialout"
    import grp  # noqa: PLC0415 - not on every system

    try:
        return grp.getgrgid(os.stat(name).st_gid).gr_name
    except (OSError, KeyError, ValueError):
        return "dialout"
