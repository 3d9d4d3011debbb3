"""How a user comes to be allowed to open a serial port, and whether that has worked."""

import os
import shlex
from dataclasses import dataclass

from benchapp.desk.seen_ports import port_facts
from benchapp.probe.backends.permission import RULE_FILE, group_of, helping_group, rule_text


@dataclass(frozen=True, kw_only=True, slots=True)
class PermissionHelp:
    """Two ways to be allowed to open a port; each is "" where it does not apply.

    rule and rule_file : the device rule and where it goes; rule_commands : lines for a terminal that put it there and
    make it hold at once
    group and group_command : the group that may open the port, and how to join it (then log out and in again)
    """

    port: str
    rule_file: str = ""
    rule: str = ""
    rule_commands: str = ""
    group: str = ""
    group_command: str = ""


def can_open(port: str) -> bool:
    """Return whether this user may open the port; it is not opened. False where it is not there."""
    return os.access(port, os.R_OK | os.W_OK) if "\0" not in port else False


def permission_help(port: str) -> PermissionHelp:
    """Return what can be done about a port that this user may not open; nothing is opened or changed."""
    usb_id = port_facts(port).usb_id
    rule = rule_text(usb_id) if usb_id else ""
    group = _group(port)
    return PermissionHelp(
        port=port,
        rule_file=RULE_FILE if rule else "",
        rule=rule,
        rule_commands=_commands(rule) if rule else "",
        group=group,
        group_command=f"sudo usermod -aG {shlex.quote(group)} $USER" if group else "",
    )


def _commands(rule: str) -> str:
    lines = " ".join(shlex.quote(line) for line in rule.splitlines())
    return (
        f"printf '%s\\n' {lines} | sudo tee {RULE_FILE}\n"
        "sudo udevadm control --reload\n"
        "sudo udevadm trigger --subsystem-match=usb --subsystem-match=tty\n"
    )


def _group(port: str) -> str:
    """Return the group that may open the port, "" where joining one would not help or give too much."""
    return helping_group(port, group_of(port))
