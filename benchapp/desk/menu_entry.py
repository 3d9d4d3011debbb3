"""The program in the system's menu, its icons, and its session files known to the file manager.

Only when somebody asks (Settings, or `benchapp menu`). A session is known by its ending and by SQLite's application id
at offset 68 of the file.
"""

import os
import shutil
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path

from benchapp.assets import resource
from benchapp.desk.data_folder import data_folder
from benchapp.desk.names import shown
from benchapp.records.errors import DiskTrouble, SystemTrouble
from benchapp.sessions.naming import reason

_ENTRY = "applications/benchapp.desktop"
_COPIED = {
    "benchapp.xml": "mime/packages/benchapp.xml",
    "benchapp.svg": "icons/hicolor/scalable/apps/benchapp.svg",
    "session.svg": "icons/hicolor/scalable/mimetypes/application-x-thumb-to-horn.svg",
}
_REFRESHING = (("update-mime-database", "mime"), ("update-desktop-database", "applications"))
_LONGEST_WAIT_S = 30
_RESERVED = frozenset(" \t\n\"'\\><~|&;$*?#()`")


def menu_folder() -> Path:
    """Return the folder whose menu entries, kinds of files and icons are this user's own."""
    return data_folder().parent


def is_in_menu(folder: Path) -> bool:
    """Return whether the program is in the menu of a folder."""
    return (folder / _ENTRY).exists()


def add_to_menu(folder: Path, *, program: Sequence[str] | None = None) -> None:
    """Put the program into the menu; a session then opens in it by a double click. What was there is replaced.

    folder is this user's own folder of data; program the words that start the program, found out if not given. Raises
    SystemTrouble where menus are kept otherwise, DiskTrouble where the folder cannot be written.
    """
    if not sys.platform.startswith("linux"):
        raise SystemTrouble("Menu entries of this kind are known on Linux only.")
    words = list(program or own_call())
    entry = resource("menu/benchapp.desktop").read_text(encoding="utf-8")
    entry = entry.replace("@PROGRAM@", " ".join(quoted(word) for word in words)).replace("@TRIED@", escaped(words[0]))
    try:
        _write(folder / _ENTRY, entry.encode())
        for name, place in _COPIED.items():
            _write(folder / place, resource(f"menu/{name}").read_bytes())
    except OSError as error:
        raise DiskTrouble(f"The menu in {shown(folder)} could not be written: {reason(error)}.") from error
    _refresh(folder)


def remove_from_menu(folder: Path) -> None:
    """Take the program out of the menu again; nothing happens if it is not in it. Raises DiskTrouble."""
    try:
        for place in (_ENTRY, *_COPIED.values()):
            (folder / place).unlink(missing_ok=True)
    except OSError as error:
        raise DiskTrouble(f"The menu in {shown(folder)} could not be changed: {reason(error)}.") from error
    _refresh(folder)


def own_call() -> list[str]:
    """Return the words that start this program: its own script where there is one beside Python."""
    script = Path(sys.executable).with_name("benchapp")
    return [str(script)] if script.is_file() else [sys.executable, "-m", "benchapp"]


def quoted(word: str) -> str:
    """Return a word as it stands in an Exec line (Desktop Entry Specification 1.5, "The Exec key")."""
    word = word.replace("%", "%%")
    if not _RESERVED.intersection(word):
        return escaped(word)
    for character in '\\"`$':
        word = word.replace(character, f"\\{character}")
    return escaped(f'"{word}"')


def escaped(text: str) -> str:
    """Return a text as the value of a key of type string, in which a backslash begins an escape."""
    return text.replace("\\", "\\\\").replace("\n", "\\n").replace("\t", "\\t")


def _write(path: Path, content: bytes) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(content)


def _refresh(folder: Path) -> None:
    """Let the system read the folders anew; where a tool for it is missing, that happens at the next login."""
    for tool, part in _REFRESHING:
        found = shutil.which(tool)
        if found is not None and (folder / part).is_dir():
            subprocess.run(
                [found, str(folder / part)],
                check=False,
                capture_output=True,
                timeout=_LONGEST_WAIT_S,
                env={**os.environ, "LC_ALL": "C"},
            )
