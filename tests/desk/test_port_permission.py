"""The way to be allowed to open a port, and the look whether it has worked."""

import errno
import grp
import os
import shutil
import subprocess

import pytest

from benchapp.desk import port_permission, seen_ports
from benchapp.desk.port_permission import can_open, permission_help
from benchapp.probe.backends import port_faults
from benchapp.probe.backends.permission import RULE_FILE, helping_group
from benchapp.probe.backends.port_faults import open_trouble
from benchapp.probe.backends.port_list import PortFacts


@pytest.fixture
def port(tmp_path, monkeypatch):
    """A port that belongs to the group dialout, as far as the program can see."""
    file = tmp_path / "ttyUSB0"
    file.touch()
    file.chmod(0o660)
    facts = PortFacts(name=str(file), words="", serial_number=None, usb_id="1234:00ab", known=False)
    monkeypatch.setattr(seen_ports, "list_ports", lambda: [facts])
    monkeypatch.setattr(port_permission, "group_of", lambda _port: "dialout")
    return file


def test_the_rule_lets_the_user_at_the_computer_in_and_keeps_modem_services_off(port):
    offered = permission_help(str(port))
    usb, tty = offered.rule.splitlines()
    assert 'ATTR{idVendor}=="1234"' in usb
    assert 'ATTR{idProduct}=="00ab"' in usb
    assert 'ENV{ID_MM_DEVICE_IGNORE}="1"' in usb
    assert 'TAG+="uaccess"' in tty
    assert offered.rule_file == RULE_FILE


def test_the_rule_s_name_sorts_before_the_one_that_hands_ports_to_whoever_sits_there():
    # systemd, 73-seat-late.rules: "uaccess" has to be set in a file that comes before it
    assert os.path.basename(RULE_FILE) < "73-seat-late.rules"
    assert RULE_FILE.startswith("/etc/udev/rules.d/")
    assert RULE_FILE.endswith(".rules")


def test_the_commands_write_exactly_the_rule(port, tmp_path):
    offered = permission_help(str(port))
    first, reload, trigger = offered.rule_commands.splitlines()
    assert "udevadm control --reload" in reload
    assert "udevadm trigger" in trigger
    target = tmp_path / "written.rules"
    shell = shutil.which("sh")
    assert shell is not None
    subprocess.run(
        [shell, "-c", first.replace("sudo tee", "tee").replace(RULE_FILE, str(target))], check=True, capture_output=True
    )
    assert target.read_text() == offered.rule


def test_the_group_that_owns_the_port_is_the_other_way(port):
    assert permission_help(str(port)).group_command == "sudo usermod -aG dialout $USER"


@pytest.mark.parametrize(("mode", "group"), [(0o600, "dialout"), (0o640, "dialout"), (0o660, "root")])
def test_a_group_that_would_not_help_or_give_too_much_is_not_offered(port, monkeypatch, mode, group):
    port.chmod(mode)
    monkeypatch.setattr(port_permission, "group_of", lambda _port: group)
    offered = permission_help(str(port))
    assert (offered.group, offered.group_command) == ("", "")
    assert offered.rule


def test_whoever_is_in_the_group_already_is_not_told_to_join_it(port, monkeypatch):
    own = grp.getgrgid(os.getegid()).gr_name
    for group in (own, "root"):
        monkeypatch.setattr(port_permission, "group_of", lambda _port, group=group: group)
        assert permission_help(str(port)).group_command == ""
        assert helping_group(str(port), group) == ""
    monkeypatch.setattr(os, "getgroups", list)
    monkeypatch.setattr(os, "getegid", lambda: 4_000_000_000)  # a number without a name
    assert helping_group(str(port), "dialout") == "dialout"


@pytest.mark.parametrize("usb_id", [None, "1234:00ab"])
@pytest.mark.parametrize(("mode", "group"), [(0o660, "dialout"), (0o600, "dialout"), (0o660, "root")])
def test_the_message_of_a_forbidden_port_advises_only_what_can_help(port, monkeypatch, usb_id, mode, group):
    port.chmod(mode)
    monkeypatch.setattr(port_faults, "group_of", lambda _port: group)
    monkeypatch.setattr(port_faults, "usb_id_of", lambda _port: usb_id)
    said = open_trouble(str(port), PermissionError(errno.EACCES, "no")).message
    helps = (mode, group) == (0o660, "dialout")
    assert ("usermod" in said) is helps
    assert (RULE_FILE in said) is (usb_id is not None)
    assert ("Ask whoever looks after this computer" in said) is (usb_id is None and not helps)
    assert said.endswith((".", '"'))


def test_a_port_without_a_usb_id_has_no_rule_and_one_that_is_gone_has_nothing():
    offered = permission_help("/dev/no-such-port")
    assert (offered.rule, offered.rule_file, offered.rule_commands, offered.group) == ("", "", "", "")


def test_whether_a_port_may_be_opened_is_seen_without_opening_it(port, monkeypatch):
    assert can_open(str(port))
    assert not can_open("/dev/no-such-port")
    assert not can_open("\0")
    asked = []
    monkeypatch.setattr(os, "access", lambda path, how: asked.append((path, how)))
    assert not can_open(str(port))
    assert asked == [(str(port), os.R_OK | os.W_OK)]
