"""Spoilt settings, benches and small files of memory: the window starts, and a bench is read or refused in words."""

import json
import random
from collections.abc import Callable, Iterable
from contextlib import suppress
from datetime import UTC, datetime
from pathlib import Path

from benchapp.desk.bench_file import read_bench
from benchapp.desk.probe_tests import KIND as TESTS_KIND
from benchapp.desk.probe_tests import keep_test, kept_test
from benchapp.desk.seen_ports import KIND as PORTS_KIND
from benchapp.desk.seen_ports import is_seen, remember_port
from benchapp.desk.trash import discarded_sessions, empty_old, take_back
from benchapp.presentation.ground.bench_fields import READY, UNDER_TEST
from benchapp.records.errors import BenchError, WrongInput
from benchapp.ui.kept.recents import Recent, recent_sessions, with_recent
from benchapp.ui.kept.settings import Settings, SettingsStore, noted_last, session_folder
from tests.campaigns.fuzzers.bounds import bounded, clear, refused
from tests.campaigns.fuzzers.chances import chance_of
from tests.campaigns.fuzzers.mutations import hostile, json_text, spoilt_bytes, spoilt_lines, spoilt_tree
from tests.campaigns.telling import Tally

_NOW = datetime(2026, 5, 4, tzinfo=UTC)
_TEXTS = [f'{key} = "x {key}"' for key in UNDER_TEST if key not in ("volts", "channel")]
_BENCH = "\n".join(
    ['name = "Alder"', *_TEXTS, "volts = 5.1", "channel = 3", *(f'{key} = "checked"' for key in READY), ""]
)
_LEAD = {
    "index": 0, "label": "D8", "driven": 20, "seen": 20, "strays": 0, "mean_ns": 12.5, "sd_ns": 30.0,
    "earliest_ns": 1.0, "latest_ns": 99.0, "coarse": 0, "keeps_promise": True,
}  # fmt: skip
_TESTS = {
    "format": TESTS_KIND,
    "probes": [{"serial": "T-1", "program": "1.1", "tested_on": "2026-05-04", "leads": [_LEAD, {**_LEAD, "index": 1}]}],
}
_PORTS = {"format": PORTS_KIND, "ports": ["port /dev/x", "usb 1:2 3"]}
_DAYS = {
    "format": "benchapp trash days 1",
    "counted": "2026-05-03T00:00:00+00:00",
    "days": {"20260501T000000000000": 2.5},
}


def fuzz(tries: Iterable[int], seed: int, folder: Path, tally: Tally) -> None:
    """Spoil each kind of small file in turn."""
    for number in tries:
        chance = chance_of("settings", seed, number)
        place = folder / str(number)
        place.mkdir()
        act = _ACTS[number % len(_ACTS)]
        with tally.counted(f"settings {number}: {act.__name__.strip('_')}"), bounded(tally):
            tally.note(act(place, chance))


def _settings(folder: Path, chance: random.Random) -> str:
    file = folder / "settings.ini"
    kept = Settings(
        session_folder=str(folder),
        recent=with_recent("", Recent(path=str(folder / "a.t2h"), name="a")),
        skipped=json.dumps([str(folder / "b.t2h")]),
        last_bench=json.dumps({"transmitter": "x"}),
    )
    SettingsStore(file).save(kept)
    text = file.read_text(encoding="utf-8")
    if chance.random() < 0.4:
        line = chance.choice(("recent", "skipped", "last_bench", "text_percent", "flips", "session_folder", "theme"))
        word = json_text(chance.choice((hostile(chance), [hostile(chance)], {"path": hostile(chance)})), chance)
        text += f"{line}={chance.choice((word, json.dumps(word)))}\n"
    else:
        text = spoilt_lines(text, chance)
    data = text.encode("utf-8", "surrogatepass")
    file.write_bytes(spoilt_bytes(data, chance) if chance.random() < 0.4 else data)
    store = SettingsStore(file)
    found = store.load()
    assert 100 <= found.text_percent <= 200
    assert found.theme in ("system", "light", "dark")
    noted_last(found)
    session_folder(found)
    for recent in recent_sessions(found.recent):
        with suppress(OSError):
            Path(recent.path).exists()
    with_recent(found.recent, Recent(path="/x", name="x"))
    store.save(found)
    again = SettingsStore(file)
    assert again.load() == found, "what was saved is not what is read"
    return f"settings read, {min(len(store.ignored), 2)} ignored"


def _bench(folder: Path, chance: random.Random) -> str:
    file = folder / "bench.toml"
    data = spoilt_lines(_BENCH, chance).encode("utf-8", "surrogatepass")
    file.write_bytes(spoilt_bytes(data, chance) if chance.random() < 0.5 else data)
    try:
        fields = read_bench(file)
    except BenchError as refusal:
        refused(refusal, WrongInput, naming=file.name)
        return "bench refused"
    assert all(type(value) is str for value in fields.values())
    return "bench read"


def _spoilt_memory(file: Path, tree: object, chance: random.Random, share: float = 0.1) -> None:
    text = json_text(spoilt_tree(tree, chance, share), chance)
    data = text.encode("utf-8", "surrogatepass")
    file.write_bytes(spoilt_bytes(data, chance) if chance.random() < 0.2 else data)


def _probe_tests(folder: Path, chance: random.Random) -> str:
    file = folder / "tests.json"
    _spoilt_memory(file, _TESTS, chance, 0.02)
    found = kept_test("T-1", file)
    if found is None:
        return "no test kept"
    assert keep_test(found, file) == kept_test("T-1", file)
    return "a test kept"


def _ports(folder: Path, chance: random.Random) -> str:
    file = folder / "ports.json"
    _spoilt_memory(file, _PORTS, chance)
    is_seen("/dev/x", file)
    remember_port("/dev/y", file)
    assert is_seen("/dev/y", file)
    return "ports read"


def _trash(folder: Path, chance: random.Random) -> str:
    trash = folder / "trash"
    inside = trash / "20260501T000000000000"
    inside.mkdir(parents=True)
    (inside / "a.t2h").write_bytes(b"a session")
    note = {"path": str(folder / "home" / "a.t2h"), "name": "Alder"}
    _spoilt_memory(trash / "days.json", _DAYS, chance)
    if chance.random() < 0.4:
        note["path"] = str(hostile(chance)) + "/a.t2h" if chance.random() < 0.5 else f"{folder}/\0/a.t2h"
    _spoilt_memory(inside / "whence.json", note, chance)
    for found in discarded_sessions(trash, home=folder / "home"):
        if folder not in found.path.parents:
            continue  # nothing outside this folder is written
        try:
            take_back(found)
        except BenchError as refusal:
            clear(refusal.message)
            assert (inside / "a.t2h").read_bytes() == b"a session"
            return "not taken back, and still there"
        assert found.path.read_bytes() == b"a session"
        return "taken back"
    empty_old(trash, now=_NOW)
    assert (inside / "a.t2h").exists() or "days" in (trash / "days.json").read_text(errors="replace")
    return "trash read"


_ACTS: tuple[Callable[[Path, random.Random], str], ...] = (_settings, _settings, _bench, _probe_tests, _ports, _trash)
