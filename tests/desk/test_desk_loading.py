"""The desk's modules are loaded when they are first named, and each of them is one."""

import subprocess
import sys
from pathlib import Path

import pytest

from benchapp import desk

_NAMING = """
import sys
from benchapp import desk
def loaded():
    return {name for name in sys.modules if name.startswith(("benchapp.desk.", "benchapp.sessions."))}
assert loaded() == set(), loaded()
desk.ports
assert "benchapp.desk.ports" in loaded() and "benchapp.desk.trash" not in loaded(), loaded()
desk.trash
assert "benchapp.desk.trash" in loaded(), loaded()
"""


def test_a_module_is_loaded_when_it_is_first_named_and_no_other_with_it():
    done = subprocess.run([sys.executable, "-c", _NAMING], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr


def test_every_module_that_is_told_to_the_type_checker_is_one_of_the_desk():
    told = [
        line.split(" as ")[1].strip()
        for line in Path(desk.__file__).read_text(encoding="utf-8").splitlines()
        if line.strip().startswith("from benchapp.desk import")
    ]
    assert len(told) > 10
    assert [name for name in told if getattr(desk, name).__name__ != f"benchapp.desk.{name}"] == []


def test_what_the_desk_does_not_have_is_said_by_name():
    with pytest.raises(AttributeError, match="the desk has no module 'nothing_of_the_kind'"):
        _ = desk.nothing_of_the_kind
