"""Names of files and reasons of the system, as messages show them."""

import errno
import os
from pathlib import Path

import pytest

from benchapp.sessions.naming import reason, shown_folder, shown_name


def test_a_reason_is_the_system_s_own_and_never_nothing():
    assert reason(OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))) == os.strerror(errno.ENOSPC)
    assert reason(OSError()) == "the system gave no reason"


@pytest.mark.parametrize("sign", ["\x1b", "\n", "\u202e", "\x00"])
def test_signs_nobody_sees_are_shown_as_a_mark(sign):
    assert shown_name(Path(f"a{sign}b.t2h")) == "a\N{REPLACEMENT CHARACTER}b.t2h"


def test_a_long_name_keeps_its_beginning_and_a_long_folder_its_end():
    name, short = shown_name(Path("n" * 300)), "n" * 20
    assert shown_name(Path(short)) == short
    assert name.startswith("nnn")
    assert name.endswith("…")
    assert shown_name(Path("n" * len(name))) == "n" * len(name)
    assert shown_name(Path("n" * (len(name) + 1))) == name
    folder = shown_folder(Path("/" + "/".join(["d" * 50] * 20)) / "end" / "file.t2h")
    assert folder.startswith("…")
    assert folder.endswith("/end")
    assert shown_folder(Path("/bench/file.t2h")) == "/bench"
