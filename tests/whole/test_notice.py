"""What others wrote in what is shipped is named with its terms, and the notice travels with it."""

import re
import tomllib
from pathlib import Path

import pytest

from benchapp.assets import resource

ROOT = Path(__file__).parents[2]
NOTICE = ROOT / "resources" / "NOTICE"
DEBIAN = Path("/usr/share/doc/avr-libc/copyright")


def words(text: str) -> list[str]:
    return re.sub(r"\*+", "", text).split()


def test_the_notice_of_the_modified_bsd_licence_is_there_whole() -> None:
    # Its three conditions and its disclaimer, as the Open Source Initiative lists them for BSD-3-Clause (from memory).
    told = " ".join(words(NOTICE.read_text(encoding="utf-8")))
    for part in (
        "Redistributions of source code must retain the above copyright notice",
        "Redistributions in binary form must reproduce the above copyright notice",
        "may be used to endorse or promote products derived",
        'THIS SOFTWARE IS PROVIDED BY THE COPYRIGHT HOLDERS AND CONTRIBUTORS "AS IS"',
        "EVEN IF ADVISED OF THE POSSIBILITY OF SUCH DAMAGE.",
        "Portions of avr-libc are Copyright (c) 1999-2004",
    ):
        assert part in told


@pytest.mark.skipif(not DEBIAN.exists(), reason="the package avr-libc is not installed")
def test_the_notice_is_the_one_the_library_itself_comes_with() -> None:
    theirs = words(DEBIAN.read_text(encoding="utf-8").partition("Portions of avr-libc are")[2])
    ours = words(NOTICE.read_text(encoding="utf-8").partition("Portions of avr-libc are")[2])
    assert len(theirs) > 200
    assert ours[: len(theirs)] == theirs


def test_the_notice_is_shipped_and_named_and_no_licence_is_claimed_for_the_project() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    assert resource("NOTICE").is_file()
    wheel = project["tool"]["hatch"]["build"]["targets"]["wheel"]["force-include"]
    assert wheel["resources"] == "benchapp/_shipped/resources"
    assert project["project"]["license-files"] == ["resources/NOTICE"]
    assert "license" not in project["project"]
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    assert "resources/NOTICE" in readme
    assert "owner's to choose" in readme
