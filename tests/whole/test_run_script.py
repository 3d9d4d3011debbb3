"""The script that runs everything installs what the tests would otherwise be skipped for."""

import re
from pathlib import Path

from tests.emulator import build

TESTS = Path(__file__).parents[1]
OF_PACKAGE = {
    "Xvfb": "xvfb",
    "avrdude": "avrdude",
    "desktop-file-validate": "desktop-file-utils",
    "pdftotext": "poppler-utils",
    "strace": "strace",
    "update-mime-database": "shared-mime-info",
}
"""Tools the tests look for, each with its package of Debian 12 (`dpkg -S`, `apt-get download`; seen, not published)."""


ALWAYS_THERE = {"sh"}


def installed() -> set[str]:
    lines = re.findall(r'^TEST_PACKAGES="(.*)"$', (TESTS / "run.sh").read_text(encoding="utf-8"), re.MULTILINE)
    return set(" ".join(lines).split())


def test_every_tool_a_test_looks_for_is_installed():
    texts = [path.read_text(encoding="utf-8") for path in TESTS.rglob("*.py")]
    looked_for = {name for text in texts for name in re.findall(r'(?:which|@tool)\("([^"]+)"\)', text)}
    assert {OF_PACKAGE[name] for name in looked_for - ALWAYS_THERE} <= installed()
    assert len(looked_for) >= 5


def test_what_the_emulated_board_needs_is_installed():
    assert set(build._PACKAGES.values()) <= installed()


def test_the_window_s_libraries_are_there_for_the_screen_that_dies():
    assert "$SCREEN_PACKAGES" in installed()
