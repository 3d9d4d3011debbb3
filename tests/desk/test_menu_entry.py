"""The program in the system's menu: its entry, its icon, and session files that open in it by a double click."""

import os
import re
import shlex
import shutil
import subprocess
import sys
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest

from benchapp.assets import resource
from benchapp.desk.menu_entry import add_to_menu, is_in_menu, menu_folder, own_call, quoted, remove_from_menu
from benchapp.records.errors import DiskTrouble
from benchapp.sessions.schema import APPLICATION_ID

KIND = "application/x-thumb-to-horn"

pytestmark = pytest.mark.skipif(not sys.platform.startswith("linux"), reason="menu entries of this kind are Linux's")


def tool(name):
    return pytest.mark.skipif(shutil.which(name) is None, reason=f"{name} is not installed here")


def entry_of(folder):
    return (folder / "applications" / "benchapp.desktop").read_text(encoding="utf-8")


@tool("desktop-file-validate")
@pytest.mark.parametrize("program", [None, ["/opt/a folder/bin/python", "-m", "benchapp"], ['/o/100%"$`\\/benchapp']])
def test_the_entry_is_valid(tmp_path, program):
    add_to_menu(tmp_path, program=program)
    file = tmp_path / "applications" / "benchapp.desktop"
    done = subprocess.run(["desktop-file-validate", str(file)], capture_output=True, text=True, check=False)
    assert (done.returncode, done.stdout + done.stderr) == (0, "")


def test_the_entry_starts_this_program_with_the_file_that_was_clicked(tmp_path):
    add_to_menu(tmp_path)
    call = re.search(r"^Exec=(.*) %f$", entry_of(tmp_path), re.MULTILINE)[1]
    assert shlex.split(call) == own_call()
    done = subprocess.run([*own_call(), "--version"], capture_output=True, text=True, check=True)
    assert "benchapp" in done.stdout
    assert "@" not in entry_of(tmp_path)


@pytest.mark.parametrize("word", ["plain", "/with a blank", "per%cent", 'quo"te', "back\\slash", "dol$lar", "`tick`"])
def test_a_word_of_the_call_is_read_back_as_it_was(word):
    # the specification: first the string's own escapes are undone, then the quoting, then %% stands for %
    value = quoted(word).replace("\\\\", "\\")
    if value.startswith('"'):
        assert not re.search(r"(?<!\\)[$`]", value)
        value = re.sub(r"\\(.)", r"\1", value[1:-1])
    assert value.replace("%%", "%") == word


@tool("update-mime-database")
def test_the_kind_of_session_files_is_known_by_their_ending_and_by_their_inside(tmp_path):
    add_to_menu(tmp_path)
    globs = (tmp_path / "mime" / "globs2").read_text(encoding="utf-8")
    assert f"60:{KIND}:*.t2h" in globs
    magic = (tmp_path / "mime" / "magic").read_bytes()
    assert f"[80:{KIND}]".encode() in magic
    assert b">68=\x00\x04" + APPLICATION_ID.to_bytes(4, "big") in magic


@tool("update-mime-database")
def test_a_session_is_recognised_whatever_it_is_called(tmp_path, session):
    add_to_menu(tmp_path)
    nameless = tmp_path / "nameless"
    nameless.write_bytes(session.read_bytes())
    code = (
        "import sys; from PySide6.QtCore import QMimeDatabase; "
        "print(*(QMimeDatabase().mimeTypeForFile(name).name() for name in sys.argv[1:]))"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, str(nameless), str(session)],
        env={**os.environ, "XDG_DATA_HOME": str(tmp_path)},
        capture_output=True,
        text=True,
        check=True,
    )
    assert done.stdout.split() == [KIND, KIND]


def test_the_mark_of_a_session_stands_where_the_kind_looks_for_it(session):
    assert session.read_bytes()[68:72] == APPLICATION_ID.to_bytes(4, "big")
    rule = ET.parse(resource("menu/benchapp.xml")).getroot()
    match = rule.find(".//{*}match[@offset='68']")
    assert int(match.get("value"), 16) == APPLICATION_ID


def test_both_icons_are_drawings_that_refer_to_nothing_else():
    for name in ("benchapp", "session"):
        text = resource(f"menu/{name}.svg").read_text(encoding="utf-8")
        assert ET.fromstring(text).tag.endswith("svg")
        assert "href" not in text
        assert "<script" not in text


def test_it_is_taken_out_again_without_a_trace(tmp_path):
    add_to_menu(tmp_path)
    assert is_in_menu(tmp_path)
    remove_from_menu(tmp_path)
    remove_from_menu(tmp_path)
    assert not is_in_menu(tmp_path)
    left = [path for path in tmp_path.rglob("*") if path.is_file() and "horn" in path.read_text(errors="replace")]
    assert left == []


def test_a_folder_that_cannot_be_written_is_said_to_be(tmp_path):
    blocked = tmp_path / "file"
    blocked.write_text("")
    with pytest.raises(DiskTrouble, match="could not be written"):
        add_to_menu(blocked)


def test_the_menu_is_this_user_s_own(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    assert menu_folder() == tmp_path
    monkeypatch.delenv("XDG_DATA_HOME")
    assert menu_folder() == Path.home() / ".local" / "share"
