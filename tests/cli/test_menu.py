"""`benchapp menu`."""

import sys

import pytest

from benchapp.desk.menu_entry import is_in_menu

pytestmark = pytest.mark.skipif(not sys.platform.startswith("linux"), reason="menu entries of this kind are Linux's")


def test_the_program_is_put_into_the_menu_and_taken_out_again(call, tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "share"))
    put = call("menu")
    assert (put.status, put.err) == (0, "")
    assert f"menu in {tmp_path / 'share'}" in put.out
    assert is_in_menu(tmp_path / "share")
    removed = call("menu", "--remove")
    assert removed.status == 0
    assert not is_in_menu(tmp_path / "share")


def test_a_menu_that_cannot_be_written_is_said_on_one_line(call, tmp_path, monkeypatch):
    (tmp_path / "share").write_text("a file where the folder should be")
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "share"))
    refused = call("menu")
    assert refused.status == 3
    assert refused.err.startswith("benchapp: The menu in ")
    assert refused.err.count("\n") == 1
