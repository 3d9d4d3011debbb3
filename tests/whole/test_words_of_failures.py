"""Failures provoked in every room that speaks to people: what is said holds nothing that only a program understands."""

import errno
import os
import termios
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

import pytest
import serial

from benchapp.__main__ import run
from benchapp.desk.bench_file import read_bench
from benchapp.desk.copying import copy_session
from benchapp.desk.exporting import export
from benchapp.desk.importing import ImportOrder, import_capture
from benchapp.desk.menu_entry import add_to_menu
from benchapp.desk.noting import note_bench
from benchapp.desk.preview import preview_capture
from benchapp.desk.probe_program import read_program
from benchapp.desk.reporting import write_report
from benchapp.desk.seen_ports import remember_port
from benchapp.desk.sharing import share
from benchapp.desk.trash import Discarded, discard, take_back
from benchapp.presentation.ground.messages import message_for
from benchapp.probe.backends import port_faults
from benchapp.records.errors import BenchError
from benchapp.sessions.opening import open_session
from benchapp.ui.screens.bench.photo_file import read_photo
from benchapp.ui.widgets.picture_saving import save_picture, saved_words
from tests.campaigns.fuzzers.bounds import clear
from tests.sessions.session_builder import small_session

NOW = datetime(2026, 5, 4, tzinfo=UTC)
Act = Callable[[Path], object]


def folder_with_a_session(folder: Path) -> Path:
    """A folder with a closed session of one run, and files that are none of what their names say."""
    small_session(folder / "a.t2h", seconds=3)
    export(folder / "a.t2h", folder / "a.vcd", to="vcd")
    (folder / "empty.csv").touch()
    (folder / "noise.csv").write_bytes(bytes(range(256)) * 3)
    (folder / "noise.vcd").write_bytes(b"$var" + bytes(range(256)))
    (folder / "text.csv").write_text("time_s,a\n0,0\nsoon,1\n")
    (folder / "digits.csv").write_text("time_s,a\n" + "9" * 5_000 + ",0\n")
    (folder / "bench.toml").write_text("volts = [1, 2]\n")
    (folder / "none.hex").write_text(":zz\n")
    (folder / "noise.t2h").write_bytes(bytes(range(256)) * 30)
    (folder / "torn.t2h").write_bytes((folder / "a.t2h").read_bytes()[:5_000])
    return folder


def importing(name: str, *, out: str = "new.t2h", **more: object) -> Act:
    return lambda folder: import_capture(
        ImportOrder(capture=folder / name, test="switch-flip", out=folder / out, **more)  # type: ignore[arg-type]
    )


REFUSED: dict[str, Act] = {
    **{f"import {name}": importing(name) for name in ("empty.csv", "noise.csv", "noise.vcd", "text.csv", "digits.csv")},
    "import what is not there": importing("none.csv"),
    "import a folder": importing("."),
    "import over another session": importing("a.vcd", out="a.t2h"),
    "import over itself": importing("a.vcd", out="a.vcd", force=True),
    "import with a lead that is not there": importing("a.vcd", leads={"none": "switch"}),
    "import with a role that is none": importing("a.vcd", leads={"switch": "none"}),
    "import with a threshold that is none": importing("a.vcd", threshold_words=["a=none"]),
    "preview of noise": lambda folder: preview_capture(
        ImportOrder(capture=folder / "noise.csv", test="switch-flip", out=folder / "x.t2h")
    ),
    "a bench that is none": lambda folder: read_bench(folder / "bench.toml"),
    "a program that is none": lambda folder: read_program(folder / "none.hex"),
    "a program that is not there": lambda folder: read_program(folder / "missing.hex"),
    "noise as a session": lambda folder: open_session(folder / "noise.t2h"),
    "a torn session": lambda folder: open_session(folder / "torn.t2h"),
    "export in an unknown way": lambda folder: export(folder / "a.t2h", folder / "x.csv", to="none"),
    "export over itself": lambda folder: export(folder / "a.t2h", folder / "a.t2h", to="csv", force=True),
    "export into no folder": lambda folder: export(folder / "a.t2h", folder / "no" / "x.csv", to="csv"),
    "export under a name too long": lambda folder: export(folder / "a.t2h", folder / ("x" * 400), to="csv"),
    "export under a name with a zero": lambda folder: export(folder / "a.t2h", folder / "x\0", to="csv"),
    "a report into a file": lambda folder: write_report(folder / "a.t2h", folder / "text.csv"),
    "a report into a full folder": lambda folder: write_report(folder / "a.t2h", folder, pdf=False),
    "share over itself": lambda folder: share(folder / "a.t2h", folder / "a.t2h"),
    "a note in noise": lambda folder: note_bench(folder / "noise.t2h", {"transmitter": "x"}),
    "discard what is not there": lambda folder: discard(folder / "none.t2h", folder / "trash", now=NOW),
    "a copy of what is not there": lambda folder: copy_session(folder / "none.t2h", folder),
    "take back over another": lambda folder: take_back(
        Discarded(path=folder / "a.t2h", folder=folder / "trash" / "x", name="a")
    ),
    "take back what is not there": lambda folder: take_back(
        Discarded(path=folder / "b.t2h", folder=folder / "trash" / "x", name="b")
    ),
}

NAMED_WITH_FOLDER = {
    "discard what is not there", "a copy of what is not there", "import what is not there", "take back over another",
    "a report into a file", "export over itself", "share over itself", "import over another session",
}  # fmt: skip
"""Where more than one file could be meant: the folder is told."""


@pytest.mark.parametrize("what", REFUSED)
def test_a_refusal_is_told_in_words_for_people(tmp_path, what):
    folder = folder_with_a_session(tmp_path)
    with pytest.raises(BenchError) as refusal:
        REFUSED[what](folder)
    message = message_for(refusal.value)
    for text in (refusal.value.message, refusal.value.kept, message.title, message.kept, message.do, message.details):
        if text:
            clear(text)
    if what in NAMED_WITH_FOLDER:
        assert str(folder) in refusal.value.message or folder.name in refusal.value.message, refusal.value.message


WRITING: dict[str, Act] = {
    "import": importing("a.vcd"),
    "export": lambda folder: export(folder / "a.t2h", folder / "x.csv", to="csv"),
    "a report": lambda folder: write_report(folder / "a.t2h", folder / "report", pdf=False),
    "share": lambda folder: share(folder / "a.t2h", folder / "b.t2h"),
    "a copy": lambda folder: copy_session(folder / "a.t2h", folder / "."),
    "the menu": lambda folder: add_to_menu(folder / "text.csv", program=["x"]),
    "the ports": lambda folder: remember_port("/dev/none", folder / "ports.json"),
}
DISKS = {
    "full": OSError(errno.ENOSPC, os.strerror(errno.ENOSPC), "/x/y"),
    "failing": OSError(errno.EIO, os.strerror(errno.EIO)),
    "to be read only": OSError(errno.EROFS, os.strerror(errno.EROFS), "/x"),
    "without a reason": OSError("[Errno 99] a library's own words"),
}


@pytest.mark.parametrize("disk", DISKS)
@pytest.mark.parametrize("what", WRITING)
def test_what_a_disk_refuses_is_told_in_words_for_people(tmp_path, monkeypatch, what, disk):
    folder = folder_with_a_session(tmp_path)
    before = sorted(path.name for path in folder.iterdir())

    def refuse(*_words: object, **_more: object) -> None:
        raise DISKS[disk]

    for call in ("fsync", "rename", "replace", "link"):
        monkeypatch.setattr(os, call, refuse)
    with pytest.raises(BenchError) as refusal:
        WRITING[what](folder)
    assert refusal.value.status in (2, 3)
    for text in (refusal.value.message, refusal.value.kept, message_for(refusal.value).details):
        if text:
            clear(text)
    assert "library" not in refusal.value.message
    assert sorted(path.name for path in folder.iterdir() if not path.name.endswith(".lock")) == before


FAULTS = (
    OSError(errno.EIO, os.strerror(errno.EIO)),
    serial.SerialException(errno.ENOTTY, "could not open port /dev/x: [Errno 25] Inappropriate ioctl for device"),
    serial.SerialException("Could not configure port: (5, 'Input/output error')"),
    serial.SerialException("read failed: [Errno 5] Input/output error"),
    serial.SerialException("device reports readiness to read but returned no data"),
    termios.error(5, "Input/output error"),
    TypeError("'NoneType' object cannot be interpreted as an integer"),
    ValueError("embedded null byte"),
    OSError(),
)


@pytest.mark.parametrize("fault", FAULTS, ids=repr)
@pytest.mark.parametrize("name", ["/dev/null", "/dev/none", "a\0b"])
def test_what_a_port_fails_with_is_told_in_words_for_people(name, fault):
    troubles = [port_faults.open_trouble(name, fault)]
    if "\0" not in name:
        troubles.append(port_faults.gone(name, fault))
    for trouble in troubles:
        message = message_for(trouble)
        for text in (trouble.message.replace(name, "a port"), message.details, message.do, message.kept):
            clear(text)
            assert "NoneType" not in text
            assert "(5," not in text


@pytest.mark.parametrize(
    ("name", "content"),
    [("none.jpg", None), ("noise.jpg", b"\xff\xd8" + bytes(300)), ("text.png", b"text"), (".", b"")],
)
def test_a_photo_that_is_none_is_told_in_words_for_people(qapp, tmp_path, name, content):
    if content:
        (tmp_path / name).write_bytes(content)
    clear(read_photo(tmp_path / name).refusal)


def test_a_picture_that_cannot_be_saved_is_told_in_words_for_people(qapp, tmp_path):
    from PySide6.QtGui import QImage  # noqa: PLC0415

    path = tmp_path / "missing" / "x.png"
    clear(saved_words(path, save_picture(path, image=QImage(3, 3, QImage.Format.Format_RGB32))))


@pytest.mark.parametrize(
    "words",
    [
        ("reduce", "none.t2h"), ("reduce", "noise.t2h"), ("reduce", "torn.t2h"), ("check", "noise.t2h"),
        ("report", "a.t2h", "--out", "text.csv"), ("export", "a.t2h", "--to", "csv", "--out", "no/x.csv"),
        ("import", "text.csv", "--test", "switch-flip", "--out", "x.t2h"), ("probe", "install", "--port", "/dev/null"),
        ("probe", "clock", "--port", "/dev/null"), ("share", "a.t2h", "--out", "a.t2h"),
    ],
    ids=" ".join,
)  # fmt: skip
def test_what_the_command_line_refuses_is_told_in_words_for_people(tmp_path, monkeypatch, capsys, words):
    monkeypatch.chdir(folder_with_a_session(tmp_path))
    assert run(list(words)) in (2, 3)
    (line,) = capsys.readouterr().err.splitlines()
    clear(line)


def test_a_message_for_programs_would_be_found():
    for text in (
        "None of it",
        "[Errno 5] x",
        "sqlite3.OperationalError",
        "CREATE TABLE x",
        "group root",
        "a nan",
        "a\nb",
    ):
        with pytest.raises(AssertionError):
            clear(text)
    clear("A plain line about 'None', with a quote.")
