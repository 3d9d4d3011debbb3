"""What bad input gets: a status, one plain line, nothing half-written."""

import os
import sqlite3
import subprocess
import sys
import unicodedata
from pathlib import Path

import pytest

import benchapp.cli.main
from benchapp.presentation.ground.safety import PRACTICE_TOLD
from benchapp.sessions.opening import open_session

HOSTILE = [
    "<img src=file:///etc/passwd>",
    "=cmd|' /C calc'!A0",
    "a\x1b[31mred\x07",
    "a\u202egnp.t2h",
    "two\nlines",
    "x" * 10_000,
    "\ud800",
    "../../../../no-such-folder/passwd",
    "-rf",
]


def one_plain_line(text: str) -> bool:
    lines = text.splitlines()
    seen = all(unicodedata.category(sign) not in ("Cc", "Cf", "Cs") for sign in lines[0]) if lines else False
    return len(lines) == 1 and seen and lines[0].startswith("benchapp: ") and len(lines[0]) < 2100


CALLS = [
    ("--no-such-option",),
    ("record",),
    ("record", "--probe", "practice://alder"),
    ("record", "--probe", "practice://alder", "--test", "switch-flip", "--out", "x.t2h", "--flips", "0"),
    ("record", "--probe", "practice://alder", "--test", "switch-flip", "--out", "x.t2h", "--flips", "many"),
    ("record", "--probe", "practice://alder", "--test", "switch-flip", "--out", "x.t2h", "--flips", "9" * 500),
    ("record", "--probe", "practice://alder", "--test", "switch-flip", "--out", "x.t2h", "--seconds", "nan"),
    ("record", "--probe", "practice://alder", "--test", "switch-flip", "--out", "x.t2h", "--seconds", "-1"),
    ("record", "--probe", "practice://alder", "--test", "switch-flip", "--out", "x.t2h", "--target-ms", "inf"),
    ("record", "--probe", "practice://alder", "--test", "switch-flip", "--out", "x.t2h", "--lead", "output"),
    ("record", "--probe", "practice://alder", "--test", "switch-flip", "--out", "x.t2h", "--lead", "=output"),
    ("record", "--probe", "practice://alder", "--test", "switch-flip", "--out", "x.t2h", "--yes-safe", "--lead", "a=b"),
    ("record", "--probe", "practice://alder", "--test", "switch-flip", "--out", "x.t2h", "--pick-up", "magic"),
    ("record", "--probe", "practice://alder", "--test", "watch", "--out", "x.t2h", "--yes-safe"),
    ("record", "--probe", "practice://eagle", "--test", "switch-flip", "--out", "x.t2h", "--yes-safe"),
    ("record", "--probe", "practice://alder?speed=9", "--test", "switch-flip", "--out", "x.t2h", "--yes-safe"),
    ("record", "--probe", "practice://alder?seed=x", "--test", "switch-flip", "--out", "x.t2h", "--yes-safe"),
    ("record", "--probe", "practice://alder", "--test", "switch-flip", "--out", ".", "--yes-safe"),
    ("record", "--probe", "practice://alder", "--test", "switch-flip", "--out", "", "--yes-safe"),
    ("record", "--probe", "practice://alder", "--test", "switch-flip", "--out", "x.t2h", "--bench", "none.toml"),
    (
        *("record", "--probe", "practice://alder", "--test", "switch-flip", "--out", "x.t2h", "--yes-safe"),
        *("--lead", "output=switch", "--lead", "output=stick"),
    ),
    (
        *("record", "--probe", "practice://alder", "--test", "switch-flip", "--out", "x.t2h", "--yes-safe"),
        *("--lead", "output=switch", "--lead", "switch=switch"),
    ),
    ("reduce",),
    ("reduce", "none.t2h"),
    ("reduce", "."),
    ("check", "none.t2h"),
    ("report", "none.t2h", "--out", "r"),
    ("export", "none.t2h", "--to", "vcd", "--out", "x.vcd"),
    ("share", "none.t2h"),
    ("share", "none.t2h", "--out", "x.t2h"),
    ("import", "none.vcd", "--test", "switch-flip", "--out", "x.t2h"),
    ("import", "none.vcd", "--test", "switch-flip", "--out", "x.t2h", "--threshold", "a"),
    ("import", "none.vcd", "--test", "switch-flip", "--out", "x.t2h", "--threshold", "a=1", "--threshold", "a=2"),
    ("import", "none.vcd", "--test", "switch-flip", "--out", "x.t2h", "--skip", "-1"),
    ("compare", "a.t2h", "b.t2h"),
    ("probe", "install", "--port", "x"),
    ("no-such-command",),
    ("practice://eagle",),
    ("practice://alder?speed=9",),
    ("reduse", "a.t2h"),
    ("",),
]


@pytest.mark.parametrize("words", CALLS, ids=lambda words: " ".join(words)[-60:])
def test_a_wrong_call_ends_with_two_and_one_plain_line_and_writes_nothing(call, tmp_path, monkeypatch, words):
    monkeypatch.chdir(tmp_path)
    called = call(*words)
    assert called.status == 2
    assert called.out == ""
    assert one_plain_line(called.err), called.err
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("name", HOSTILE, ids=ascii)
@pytest.mark.parametrize(
    "words",
    [
        ("reduce", None),
        ("check", None),
        ("report", None, "--out", "r"),
        ("export", None, "--to", "vcd", "--out", "x.vcd"),
        ("share", None, "--out", "x.t2h"),
        ("import", None, "--test", "switch-flip", "--out", "x.t2h"),
        ("record", "--probe", None, "--test", "switch-flip", "--out", "x.t2h", "--yes-safe"),
        ("record", "--probe", "practice://alder", "--test", None, "--out", "x.t2h", "--yes-safe"),
        (
            "record",
            "--probe",
            "practice://alder",
            "--test",
            "switch-flip",
            "--out",
            "x.t2h",
            "--yes-safe",
            "--lead",
            None,
        ),
        ("record", "--probe", "practice://alder", "--test", "switch-flip", "--out", "x.t2h", "--bench", None),
        ("export", "a.t2h", "--to", None, "--out", "x.vcd"),
        (None,),
        (None, "second"),
    ],
    ids=lambda words: " ".join(str(word) for word in words)[-50:],
)
def test_a_hostile_word_anywhere_gets_one_plain_line(call, tmp_path, monkeypatch, words, name):
    monkeypatch.chdir(tmp_path)
    called = call(*(name if word is None else word for word in words))
    assert called.status in (2, 3)
    assert one_plain_line(called.err), called.err
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("name", [name for name in HOSTILE if "/" not in name and len(name) < 200 and name != "\ud800"])
def test_a_hostile_file_name_that_is_allowed_is_written_and_read(call, session, tmp_path, name):
    inside = tmp_path / "inside"
    inside.mkdir()
    out = inside / f"{name}.vcd"
    assert call("export", session, "--to", "vcd", "--out", out).status == 0
    assert call("import", out, "--test", "switch-flip", "--out", inside / f"{name}.t2h").status == 0
    called = call("reduce", inside / f"{name}.t2h")
    assert called.status == 0
    assert not [sign for sign in called.out if unicodedata.category(sign) in ("Cf", "Cs") or sign in "\x1b\x07"]


# Sessions that are none, or are spoilt ---------------------------------------------------------------------------


def foreign(path: Path) -> None:
    with sqlite3.connect(path) as connection:
        connection.execute("CREATE TABLE stretch (a)")
    connection.close()


def spoilt(kind: str, session: Path) -> None:
    data = session.read_bytes()
    match kind:
        case "empty":
            session.write_bytes(b"")
        case "text":
            session.write_text("this is no session\n" * 100)
        case "truncated":
            session.write_bytes(data[: len(data) // 2])
        case "head only":
            session.write_bytes(data[:100])
        case "zeros":
            session.write_bytes(bytes(len(data)))
        case "foreign":
            session.unlink()
            foreign(session)
        case "newer":
            # user_version is the big-endian number at byte 60 of an SQLite file (its published file format).
            session.write_bytes(data[:60] + (999).to_bytes(4, "big") + data[64:])


SPOILT = ["empty", "text", "truncated", "head only", "zeros", "foreign", "newer"]


@pytest.mark.parametrize("kind", SPOILT)
@pytest.mark.parametrize("command", ["reduce", "check", "report", "export", "share"])
def test_a_session_that_is_none_ends_with_two_and_says_why(call, session, tmp_path, kind, command):
    spoilt(kind, session)
    before = session.read_bytes()
    more = {
        "report": ("--out", tmp_path / "r"),
        "export": ("--to", "csv", "--out", tmp_path / "x.csv"),
        "share": ("--out", tmp_path / "x.t2h"),
    }
    called = call(command, session, *more.get(command, ()))
    assert called.status == 2
    assert one_plain_line(called.err), called.err
    assert session.read_bytes() == before
    assert list(tmp_path.iterdir()) == [session]


def test_a_newer_session_is_refused_with_its_version(call, session):
    spoilt("newer", session)
    assert "999" in call("reduce", session).err


def test_a_flipped_bit_is_found_and_the_rest_is_used(call, session):
    connection = sqlite3.connect(session)
    ((block,),) = connection.execute("SELECT data FROM block ORDER BY length(data) DESC LIMIT 1").fetchall()
    connection.close()
    data = bytearray(session.read_bytes())
    data[data.find(block[:100]) + 50] ^= 0x10
    session.write_bytes(data)
    assert open_session(session).damage
    checked = call("check", session)
    assert checked.status == 2
    assert "a.t2h" in checked.err
    reduced = call("reduce", session, "--strict")
    assert reduced.status == 1
    assert "damaged" in reduced.out


# Outputs ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("command", ["record", "import", "export"])
def test_an_output_that_is_there_needs_force(call, session, tmp_path, command):
    capture = tmp_path / "a.vcd"
    assert call("export", session, "--to", "vcd", "--out", capture).status == 0
    out = tmp_path / "mine"
    out.write_text("mine")
    words = {
        "record": ("--probe", "practice://alder", "--test", "switch-flip", "--flips", 1, "--yes-safe"),
        "import": (capture, "--test", "switch-flip"),
        "export": (session, "--to", "vcd"),
    }[command]
    refused = call(command, *words, "--out", out)
    assert refused.status == 2
    assert "--force" in refused.err
    assert out.read_text() == "mine"
    assert call(command, *words, "--out", out, "--force").status == 0
    assert out.read_bytes() != b"mine"


def test_a_report_folder_that_is_not_empty_needs_force(call, session, tmp_path):
    folder = tmp_path / "r"
    assert call("report", session, "--out", folder, "--no-pdf").status == 0
    assert call("report", session, "--out", folder, "--no-pdf").status == 2
    assert call("report", session, "--out", folder, "--no-pdf", "--force").status == 0


@pytest.mark.parametrize("command", ["record", "import", "export", "report"])
def test_a_folder_that_is_not_there_ends_with_two(call, session, tmp_path, command):
    words = {
        "record": ("--probe", "practice://alder", "--test", "switch-flip", "--yes-safe"),
        "import": (session, "--test", "switch-flip"),
        "export": (session, "--to", "vcd"),
        "report": (session,),
    }[command]
    called = call(command, *words, "--out", tmp_path / "no" / "such" / "folder" / "x")
    assert called.status == 2
    assert one_plain_line(called.err)


def test_a_port_that_is_not_there_ends_with_three(call, tmp_path):
    words = ("--test", "switch-flip", "--yes-safe", "--out", tmp_path / "a.t2h")
    called = call("record", "--probe", "/dev/no-such-port", *words)
    assert called.status == 3
    assert one_plain_line(called.err)
    assert list(tmp_path.iterdir()) == []


# Faults nobody expected ------------------------------------------------------------------------------------------


def test_an_unexpected_fault_is_one_line_and_its_details_are_kept(call, session, tmp_path, monkeypatch):
    def fail(asked):
        raise ZeroDivisionError("a bug")

    monkeypatch.setitem(benchapp.cli.main._COMMANDS, "check", fail)
    monkeypatch.setenv("TMPDIR", str(tmp_path))
    monkeypatch.setattr("tempfile.tempdir", None)
    called = call("check", session)
    assert called.status == 3
    assert one_plain_line(called.err)
    (details,) = [file for file in tmp_path.iterdir() if file.suffix == ".txt"]
    assert str(details) in called.err
    assert "ZeroDivisionError: a bug" in details.read_text(encoding="utf-8")


def test_an_unexpected_fault_of_a_data_thread_ends_the_recording_with_three(call, tmp_path, monkeypatch):
    def fail(self, records, now_ns):
        raise ZeroDivisionError("a bug")

    monkeypatch.setattr("benchapp.procedures.ground.procedure.Procedure.see", fail)
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path))
    words = ("--probe", "practice://alder", "--test", "switch-flip", "--yes-safe", "--out", tmp_path / "a.t2h")
    called = call("record", *words)
    assert called.status == 3
    answered, *told = called.err.partition(f"{PRACTICE_TOLD}\n")[1:]
    assert answered
    assert all(line.startswith("benchapp: ") for text in told for line in text.splitlines())
    assert open_session(tmp_path / "a.t2h").kept == ""


def test_an_interrupt_elsewhere_is_130(call, session, monkeypatch):
    def interrupt(path):
        raise KeyboardInterrupt

    monkeypatch.setattr("benchapp.cli.reduce_command.load", interrupt)
    assert call("reduce", session).status == 130


def test_help_and_version_end_with_zero(call):
    for words in (("--help",), ("record", "--help"), ("--version",)):
        called = call(*words)
        assert called.status == 0
        assert called.out
        assert called.err == ""


def test_a_capture_and_a_session_are_never_written_over_by_the_call_that_reads_them(call, session, tmp_path):
    copy = tmp_path / "a.t2h"
    copy.write_bytes(session.read_bytes())
    capture = tmp_path / "a.vcd"
    assert call("export", copy, "--to", "vcd", "--out", capture).status == 0
    before = capture.read_bytes()
    for words in (
        ("import", capture, "--test", "switch-flip", "--out", capture, "--force"),
        ("export", copy, "--to", "csv", "--out", copy, "--force"),
    ):
        called = call(*words)
        assert called.status == 2
        assert one_plain_line(called.err)
    assert capture.read_bytes() == before
    assert copy.read_bytes() == session.read_bytes()


@pytest.mark.parametrize("module", ["benchapp.cli.arguments", "benchapp.cli.main", "benchapp.desk.loading", "numpy"])
def test_ctrl_c_while_the_program_still_loads_ends_it_without_a_traceback(session, module):
    code = f"""
import sys

class Interrupt:
    def find_spec(self, name, path=None, target=None):
        if name == {module!r}:
            raise KeyboardInterrupt

sys.meta_path.insert(0, Interrupt())
sys.argv = ["benchapp", "reduce", {str(session)!r}]
from benchapp.__main__ import main
sys.exit(main())
"""
    ended = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, timeout=60, check=False)
    assert (ended.returncode, ended.stderr, ended.stdout) == (130, "", "")


def test_answers_that_find_no_room_say_so(session):
    with open("/dev/full", "w") as full:
        ended = subprocess.run(
            [sys.executable, "-m", "benchapp", "reduce", "--json", str(session)],
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
            timeout=60,
            check=False,
        )
    assert ended.returncode == 3
    assert one_plain_line(ended.stderr)
    assert "no room" in ended.stderr


def test_an_unknown_pick_up_is_refused_with_the_ones_there_are(call, tmp_path):
    words = ("record", "--probe", "practice://alder", "--test", "switch-flip", "--yes-safe", "--pick-up", "hand")
    called = call(*words, "--out", tmp_path / "a.t2h")
    assert called.status == 2
    assert "contact, driven, taped, light-gate" in called.err
    assert "PickUp" not in called.err


def test_what_a_killed_call_left_is_removed_a_day_later_and_said_once(call, session, tmp_path):
    left = tmp_path / ".benchapp-0123456789ab.part"
    left.mkdir()
    (left / "report.html").write_text("half")
    yesterday = left.stat().st_mtime - 2 * 86_400
    for path in (left / "report.html", left):
        os.utime(path, (yesterday, yesterday))
    first = call("export", session, "--to", "csv", "--out", tmp_path / "a.csv")
    assert first.status == 0
    assert f"One unfinished file that an earlier start left in {tmp_path} was removed" in first.err
    assert not left.exists()
    assert "unfinished" not in call("export", session, "--to", "csv", "--out", tmp_path / "b.csv").err


def test_a_memory_that_does_not_suffice_is_one_plain_line_and_status_3(monkeypatch, capsys, tmp_path):
    def fail(asked: object) -> int:
        raise MemoryError

    monkeypatch.setitem(benchapp.cli.main._COMMANDS, "check", fail)
    assert benchapp.cli.main.main(["check", str(tmp_path / "a.t2h")]) == 3
    said = capsys.readouterr().err
    assert one_plain_line(said)
    assert "not enough memory" in said
