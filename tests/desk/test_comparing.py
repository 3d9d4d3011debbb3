"""Sessions taken together and compared: what is asked, what is known, and what is refused."""

import shutil
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from benchapp.desk.comparing import compare_sessions
from benchapp.desk.loading import load
from benchapp.desk.recording import RecordOrder, record
from benchapp.records.comparison import ANSWERED_NO, ANSWERED_YES, APART_IN_TIME, NOT_KNOWN, SAID
from benchapp.records.errors import WrongCall, WrongInput
from benchapp.records.events import Event, EventKind
from benchapp.records.run import Origin, RunSettings
from benchapp.sessions.amending import append_events

BEGAN = datetime.fromisoformat("2026-11-25T10:00:00+01:00")


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    """Return what records a session of a few flips, each once: (seed, hours after BEGAN) → its path."""
    folder, known = tmp_path_factory.mktemp("made"), {}

    def make(seed: int, hours: float = 0.0, radio: str = "alder") -> Path:
        key = (seed, hours, radio)
        if key not in known:
            known[key] = folder / f"{radio}-{seed}-{hours}.t2h"
            order = RecordOrder(
                probe=f"practice://{radio}?seed={seed}",
                test="switch-flip",
                out=known[key],
                settings=RunSettings(flips=24, switch_ons=3),
                confirmed=("practice",),
                bench={"name": f"{radio} {seed}", "transmitter": radio},
                started=(BEGAN + timedelta(hours=hours)).isoformat(),
            )
            assert record(order, lambda _status: None).trouble is None
        return known[key]

    return make


@pytest.fixture
def own(made, tmp_path):
    """Return what copies such a session and adds bench fields to it."""

    def make(seed: int, hours: float = 0.0, radio: str = "alder", **fields: str) -> Path:
        path = Path(shutil.copy(made(seed, hours, radio), tmp_path))
        if fields:
            append_events(path, [Event(kind=EventKind.BENCH, at_ns=0, detail=dict(fields))])
        return path

    return make


def never(_one, _other):
    pytest.fail("nothing was to be asked")


def test_without_by_every_file_is_a_set_and_nothing_is_asked(own):
    paths = [own(1, set="Alder"), own(2, 0.5, set="Alder"), own(3, radio="birch")]
    found = compare_sessions(paths, ask=never)
    assert [one.sessions for one in found.comparison.sets] == [(0,), (1,), (2,)]
    assert [one.name for one in found.comparison.sets] == ["alder 1", "alder 2", "birch 3"]
    assert found.paths == tuple(paths)
    assert found.between == ()


def test_sessions_of_the_same_set_are_taken_together_however_it_is_written(own):
    paths = [own(2, 20, set=" alder  THREE "), own(3, radio="birch"), own(1, set="Alder three")]
    found = compare_sessions(paths, by_set=True, ask=never)
    assert [one.sessions for one in found.comparison.sets] == [(2, 0), (1,)]  # in the order of their dates
    assert [one.name for one in found.comparison.sets] == ["Alder three", "birch 3"]
    assert [one.how for one in found.between] == [APART_IN_TIME]
    assert len(found.comparison.sets[0].power_ups) == 6


@pytest.mark.parametrize(
    ("answer", "how", "switch_ons"), [(True, ANSWERED_YES, 6), (False, ANSWERED_NO, 5), (None, NOT_KNOWN, 5)]
)
def test_two_sessions_of_one_day_are_asked_about(own, answer, how, switch_ons):
    asked = []

    def ask(one, other):
        asked.append((one, other))
        return answer

    paths = [own(1, set="Alder"), own(2, 3, set="Alder"), own(3, radio="birch")]
    found = compare_sessions(paths, by_set=True, ask=ask)
    assert asked == [(paths[0].name, paths[1].name)]
    assert [(one.before, one.after, one.how) for one in found.between] == [(0, 1, how)]
    assert len(found.comparison.sets[0].power_ups) == switch_ons


@pytest.mark.parametrize(("hours", "apart"), [(12.0, False), (12.1, True)])
def test_more_than_twelve_hours_apart_is_known_without_asking(own, hours, apart):
    found = compare_sessions(
        [own(1, set="A"), own(2, hours, set="A"), own(3, radio="birch")], by_set=True, ask=lambda *_: None
    )
    assert [one.how == APART_IN_TIME for one in found.between] == [apart]


def test_a_session_that_says_so_is_distinct_without_asking(own):
    paths = [own(1, set="A"), own(2, 1, set="A", switched_on="2026-11-25T10:55:00+01:00"), own(3, radio="birch")]
    found = compare_sessions(paths, by_set=True, ask=never)
    assert [one.how for one in found.between] == [SAID]
    assert len(found.comparison.sets[0].power_ups) == 6


def test_one_session_twice_is_refused_with_its_evidence_code(own, tmp_path):
    one = own(1)
    again = Path(shutil.copy(one, tmp_path / "again.t2h"))
    with pytest.raises(WrongInput, match=r"'.*again\.t2h' hold the same session, evidence code sha256:[0-9a-f]{64}"):
        compare_sessions([one, own(2), again])


@pytest.mark.parametrize("count", [0, 1])
def test_fewer_than_two_are_refused(own, count):
    with pytest.raises(WrongCall, match="two"):
        compare_sessions([own(1)][:count])


def test_all_of_one_set_are_refused(own):
    with pytest.raises(WrongCall, match="one set, 'A'"):
        compare_sessions([own(1, set="A"), own(2, 20, set="a")], by_set=True)


def test_more_than_fifty_sets_are_refused_before_anything_is_worked_out(own, monkeypatch):
    monkeypatch.setattr("benchapp.desk.comparing.MOST_SETS", 2)
    with pytest.raises(WrongCall, match="up to 2"):
        compare_sessions([own(1), own(2), own(3)])


def test_one_that_cannot_be_read_is_left_out_and_said(own, tmp_path):
    (tmp_path / "torn.t2h").write_bytes(b"SQLite format 3\x00")
    found = compare_sessions([own(1), tmp_path / "torn.t2h", own(2)])
    assert len(found.comparison.sets) == 2
    (refused,) = found.refused
    assert refused.path == tmp_path / "torn.t2h"
    assert "cut off" in refused.why


def test_where_fewer_than_two_can_be_read_the_reasons_are_said(own, tmp_path):
    (tmp_path / "torn.t2h").write_bytes(b"SQLite format 3\x00")
    with pytest.raises(WrongInput, match=r"Fewer than two .*torn\.t2h.*cut off"):
        compare_sessions([own(1), tmp_path / "torn.t2h"])


def test_practice_and_real_sessions_under_one_name_are_never_taken_together(own, monkeypatch):
    paths = [own(1, set="A"), own(2, 20, set="A"), own(3, radio="birch")]

    def load_one_as_real(path):
        loaded = load(path)
        real = replace(loaded.facts, origin=Origin.PROBE)
        return replace(loaded, facts=real) if path == paths[1] else loaded

    monkeypatch.setattr("benchapp.desk.comparing.load", load_one_as_real)
    with pytest.raises(WrongInput, match=r"The set 'A' holds practice and real sessions \(origin\)"):
        compare_sessions(paths, by_set=True)
    found = compare_sessions(paths).comparison
    assert found.pairs[0].differs_in == ("origin",)


def test_a_session_without_a_date_is_asked_about(own, monkeypatch):
    paths = [own(1, set="A"), own(2, 20, set="A"), own(3, radio="birch")]
    monkeypatch.setattr("benchapp.desk.comparing._began", lambda loaded: None)
    assert [one.how for one in compare_sessions(paths, by_set=True).between] == [NOT_KNOWN]
