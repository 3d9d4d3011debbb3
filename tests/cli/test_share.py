"""`benchapp share`, and what the help of every command explains."""

import argparse
import sqlite3

import pytest

from benchapp.cli.arguments import commands, parser
from benchapp.desk.loading import load
from benchapp.records.events import Event, EventKind
from benchapp.records.leads import ROLES
from benchapp.sessions.amending import append_events

PRIVATE = {
    EventKind.BENCH: {"transmitter": "Customer's own Alder", "notes": "owes us a battery"},
    EventKind.NOTE: {"text": "said he crashed it himself"},
}


@pytest.fixture
def private(session):
    """A session with something private of each kind."""
    append_events(session, [Event(kind=kind, at_ns=0, detail=detail) for kind, detail in PRIVATE.items()])
    return session


def test_a_shared_copy_has_the_same_code_and_nothing_private(call, private, tmp_path):
    out = tmp_path / "s.t2h"
    called = call("share", private, "--out", out)
    assert called.status == 0
    code = load(private).facts.evidence_hash
    assert f"evidence code {code} (the same)" in called.out
    assert load(out).facts.evidence_hash == code
    checked = call("check", out)
    assert (checked.status, code in checked.out) == (0, True)
    data = out.read_bytes()
    for detail in PRIVATE.values():
        for text in detail.values():
            assert text.encode() in private.read_bytes()
            assert text.encode() not in data
    assert load(out).findings == load(private).findings


def test_what_was_left_out_and_what_stays_is_named_on_stderr(call, private, tmp_path):
    left, stays = call("share", private, "--out", tmp_path / "s.t2h").err.splitlines()
    assert "“Notes of the bench”, “Transmitter”, 1 note" in left
    assert "owes" not in left
    assert "the session's name, “a”" in stays


def test_a_session_without_anything_private_says_so(call, session, tmp_path):
    assert "nothing" in call("share", session, "--out", tmp_path / "s.t2h").err


def test_a_copy_never_replaces_what_is_there_without_force_nor_the_session_at_all(call, private, tmp_path):
    out = tmp_path / "s.t2h"
    out.write_text("mine")
    refused = call("share", private, "--out", out)
    assert (refused.status, len(refused.err.splitlines())) == (2, 1)
    assert "--force" in refused.err
    assert out.read_text() == "mine"
    before = private.read_bytes()
    assert call("share", private, "--out", private, "--force").status == 2
    assert private.read_bytes() == before
    assert call("share", private, "--out", out, "--force").status == 0


@pytest.mark.parametrize("words", [(), ("--out", "x/y/s.t2h"), ("--out", "")])
def test_a_wrong_call_is_one_line_and_writes_nothing(call, session, tmp_path, monkeypatch, words):
    monkeypatch.chdir(tmp_path)
    called = call("share", session, *words)
    assert (called.status, len(called.err.splitlines())) == (2, 1)
    assert list(tmp_path.iterdir()) == [session]


def test_damage_is_said_and_the_rest_copied(call, private, tmp_path):
    connection = sqlite3.connect(private)
    connection.execute("UPDATE block SET data = x'00' WHERE kind = 'levels'")
    connection.commit()
    connection.close()
    called = call("share", private, "--out", tmp_path / "s.t2h")
    assert called.status == 0
    assert "damaged" in called.err
    assert call("check", tmp_path / "s.t2h").status == 2


# Help --------------------------------------------------------------------------------------------------------------


def every_parser():
    waiting = [parser()]
    while waiting:
        one = waiting.pop()
        for action in one._actions:
            if isinstance(action, argparse._SubParsersAction):
                waiting += action.choices.values()
        yield one


def test_every_argument_of_every_command_says_what_it_is():
    mute = [
        (one.prog, action.dest)
        for one in every_parser()
        for action in one._actions
        if not isinstance(action, argparse._SubParsersAction) and not action.help
    ]
    assert mute == []


@pytest.mark.parametrize("command", ["import", "record"])
def test_the_help_explains_every_role(call, command):
    said = call(command, "--help").out
    for role in ROLES:
        (line,) = [line for line in said.splitlines() if line.startswith(f"  {role} ")]
        assert len(line.split()) > 2


def test_every_command_that_is_there_is_listed(call):
    said = call("--help").out
    for command in commands() - {"compare"}:
        assert f"\n    {command} " in said
