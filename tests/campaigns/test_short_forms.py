"""The short form of every campaign, and proof that each would find what it looks for."""

import random

import pytest

from tests.campaigns.acts import ACTS
from tests.campaigns.damage import damage_copies, make_whole
from tests.campaigns.kills import at_disk_calls, at_random_moments, can_trace
from tests.campaigns.powerloss import LIVES, asked_by, lose_power
from tests.campaigns.telling import Tally

needs_strace = pytest.mark.skipif(not can_trace(), reason="needs strace, and leave to trace a program with it")


@needs_strace
@pytest.mark.parametrize("act", ACTS)
def test_an_act_killed_at_some_of_its_disk_calls_leaves_the_old_or_the_new(act, tmp_path):
    tally = Tally()
    at_disk_calls(6, random.Random(act), tmp_path, tally, [act])
    assert tally.broken == []
    assert tally.tried == 6
    assert tally.notes["disk calls"] > 10


def test_a_recording_killed_at_a_few_moments_has_all_that_was_acknowledged(tmp_path):
    tally = Tally()
    at_random_moments(2, random.Random(6), tmp_path, tally)
    assert (tally.broken, tally.tried) == ([], 2)


def test_some_damaged_copies_are_refused_found_or_whole(tmp_path):
    tally = Tally()
    damage_copies(120, random.Random(7), tmp_path, tally)
    assert tally.broken == []
    assert tally.tried > 100
    assert tally.notes["found"] > 30
    assert tally.notes["refused"] > 5


def test_the_session_that_is_damaged_has_two_generations_in_its_second_file(tmp_path):
    wal = make_whole(tmp_path, closed=False).files["-wal"]
    salts = {wal[place + 8 : place + 16] for place in range(32, len(wal) - 2071, 2072)}
    assert len(salts) == 2


@needs_strace
def test_the_power_lost_at_some_moments_costs_nothing_that_was_acknowledged(tmp_path):
    tally = Tally()
    lose_power(40, random.Random(8), tmp_path, tally)
    assert tally.broken == []
    assert tally.tried == 40


@needs_strace
@pytest.mark.parametrize(
    ("share", "patched"),
    [
        ("record", ("benchapp.sessions.connecting._SYNC", "OFF")),
        ("export", ("os.fsync", lambda handle: None)),
    ],
)
def test_a_program_that_does_not_flush_is_found_out_by_losing_power(tmp_path, monkeypatch, share, patched):
    monkeypatch.setattr("tests.campaigns.powerloss.SHARES", {share: 1.0})
    monkeypatch.setattr(*patched)
    tally = Tally()
    lose_power(60, random.Random(9), tmp_path, tally)
    assert tally.broken


@needs_strace
def test_every_flush_of_a_recording_is_seen(tmp_path):
    _, asked = asked_by(LIVES["record"], tmp_path / "record")
    assert sum(one.call in ("fsync", "fdatasync") for one in asked) > 40
