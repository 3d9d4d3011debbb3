"""The short form of every fuzzer, bounded by tries, and proof that each would find what it looks for."""

import random
from collections.abc import Callable, Iterable
from pathlib import Path

import pytest

from benchapp.desk import importing, trash
from benchapp.probe import framing, timebase, wire
from benchapp.records.stream import Edges
from benchapp.sessions import texts
from tests.campaigns import fuzz
from tests.campaigns.fuzzers import bounds, mutations, rows
from tests.campaigns.fuzzers.chances import chance_of
from tests.campaigns.fuzzers.probe import WatchedStore
from tests.campaigns.fuzzers.wire import most_accepted
from tests.campaigns.telling import Tally
from tests.sessions.session_builder import small_session

SHORT = {"wire": 20, "captures": 60, "sessions": 30, "probe": 6, "settings": 120}


def told(kind: str, numbers: Iterable[int], folder: Path) -> Tally:
    tally = Tally()
    fuzz.KINDS[kind](numbers, 1, folder, tally)
    return tally


@pytest.mark.parametrize("kind", fuzz.KINDS)
def test_some_tries_of_each_fuzzer_end_in_an_answer_or_in_words(tmp_path, kind):
    tally = told(kind, range(SHORT[kind]), tmp_path)
    assert tally.broken == []
    assert tally.tried >= SHORT[kind]


def test_the_fuzzers_get_as_far_as_answers_and_as_refusals(tmp_path):
    captures = told("captures", range(100, 140), tmp_path).notes
    assert captures["imported"] >= 3
    assert captures["refused with its line"] >= 10
    sessions = told("sessions", range(100, 124), tmp_path).notes
    assert sum(count for what, count in sessions.items() if "answered" in what) >= 8
    assert sessions["refused"] >= 2
    probes = told("probe", range(100, 104), tmp_path).notes
    assert probes["records read back"] > 500
    assert probes["hostile frames"] > 3
    settings = told("settings", range(200, 320), tmp_path).notes
    assert min(settings["bench read"], settings["bench refused"], settings["a test kept"], settings["taken back"]) > 1


def test_of_two_hundred_thousand_damaged_frames_ten_may_pass():
    # faults: of 200,000 arbitrarily damaged frames at most 10 accepted
    assert most_accepted(200_000) == 10
    assert most_accepted(10_000_000) < 10_000_000 / 65_536 * 1.4


def test_a_try_is_the_same_whatever_ran_before_it(tmp_path):
    def spoilt(number: int) -> bytes:
        path = tmp_path / "a.t2h"
        path.unlink(missing_ok=True)
        small_session(path, seconds=3)
        rows.spoil_rows(path, chance_of("sessions", 1, number))
        return path.read_bytes()

    first = [spoilt(number) for number in (5, 6)]
    assert [spoilt(number) for number in (6, 5)] == first[::-1]
    assert first[0] != first[1]


def no_check(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(framing, "crc_hqx", lambda _data, _start: 0)


def a_growing_buffer(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(framing, "_ENCODED_MAX", 4_000)


def another_error(monkeypatch: pytest.MonkeyPatch) -> None:
    plain = importing.read_csv

    def reading(data: bytes, **more: object) -> object:
        try:
            return plain(data, **more)  # type: ignore[arg-type]
        except importing.WrongInput as error:
            raise ValueError from error

    monkeypatch.setattr(importing, "read_csv", reading)


def a_draft_left(monkeypatch: pytest.MonkeyPatch) -> None:
    plain = importing.read_capture

    def reading(order: importing.ImportOrder) -> object:
        order.out.with_name("draft").touch()
        return plain(order)

    monkeypatch.setattr(importing, "read_capture", reading)


def descriptors_believed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(texts, "_number", lambda source, key: source.get(key))


def far_replies_believed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(timebase, "_NOW_NS", 1 << 80)


def no_ticks_believed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(wire, "_TICK_HZ_MIN", 0)


def a_record_forgotten(monkeypatch: pytest.MonkeyPatch) -> None:
    plain, chance = WatchedStore.add_record, random.Random(3)

    def adding(store: WatchedStore, number: int, record: object) -> None:
        store.records.append((number, record))  # type: ignore[arg-type]
        if not isinstance(record, Edges) or chance.random() > 0.2:
            store.records.pop()
            plain(store, number, record)  # type: ignore[arg-type]

    monkeypatch.setattr(WatchedStore, "add_record", adding)


def places_believed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(trash, "_can_be", lambda _path: True)


@pytest.mark.filterwarnings("ignore::pytest.PytestUnhandledThreadExceptionWarning")
@pytest.mark.parametrize(
    ("kind", "tries", "broken"),
    [
        ("wire", range(2), no_check),
        ("wire", range(6), a_growing_buffer),
        ("captures", range(15), another_error),
        ("captures", range(5), a_draft_left),
        ("sessions", range(95, 96), descriptors_believed),
        ("probe", range(53, 54), far_replies_believed),
        ("probe", range(8, 9), no_ticks_believed),
        ("probe", range(3), a_record_forgotten),
        ("settings", range(53, 54), places_believed),
    ],
    ids=lambda value: getattr(value, "__name__", None),
)
def test_a_program_that_is_broken_is_found_out(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    kind: str,
    tries: range,
    broken: Callable[[pytest.MonkeyPatch], None],
):
    broken(monkeypatch)
    assert told(kind, tries, tmp_path).broken


def test_what_costs_too_much_is_found_out(monkeypatch):
    tally = Tally()
    monkeypatch.setattr(bounds, "MOST_CPU_S", 0.0)
    with tally.counted("too slow"), bounds.bounded(tally):
        sum(range(1_000))
    monkeypatch.setattr(bounds, "MOST_CPU_S", 1e9)
    monkeypatch.setattr(bounds, "MOST_GROWN_KB", -1)
    with tally.counted("too large"), bounds.bounded(tally):
        pass
    assert len(tally.broken) == 2


def test_a_kind_that_is_none_is_refused_and_one_that_is_told(capsys):
    with pytest.raises(SystemExit):
        fuzz.main(iter(["none"]))
    assert fuzz.main(iter(["wire", "--tries", "1"])) == 0
    assert "wire: 4 tried, 0 did not hold" in capsys.readouterr().out


def test_hostile_numbers_of_thousands_of_digits_and_deep_nests_are_written_as_they_stand():
    chance = random.Random(1)
    text = mutations.json_text({"a": mutations.DIGITS, "b": mutations.NEST}, chance)
    assert "[" * 50 in text
    assert len(text) > 5_000
