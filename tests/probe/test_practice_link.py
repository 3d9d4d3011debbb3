"""The practice bench as a link: its time, its ends, and the truth it leaves."""

import json

import pytest

from benchapp.probe.messages import EdgeTicks, Heartbeat
from benchapp.probe.practice import pace
from benchapp.probe.practice.link import open_practice
from benchapp.probe.wire import Commands, Decoder, pack_command
from benchapp.records.errors import DiskTrouble, PortGone, WrongCall
from benchapp.records.run import Origin
from tests.probe.practice_reading import read_s, start


class FakeTime:
    """A wall clock that only sleeping moves on."""

    def __init__(self, now_ns=123_456_789_000):
        self.now_ns = now_ns
        self.slept = []

    def monotonic_ns(self):
        return self.now_ns

    def sleep(self, seconds):
        self.slept.append(seconds)
        self.now_ns += round(seconds * 1e9) + 80_000  # a sleep ends a little late


@pytest.fixture
def wall(monkeypatch):
    fake = FakeTime()
    monkeypatch.setattr(pace, "time", fake)
    return fake


def test_it_says_that_it_is_practice():
    link = open_practice("practice://cedar?seed=1")
    assert link.origin is Origin.PRACTICE
    assert "practice" in link.name
    assert "Cedar" in link.name


def test_flat_time_passes_by_reading_alone_and_never_goes_back():
    link = open_practice("practice://alder?seed=1")
    assert link.host_ns() == link.host_ns()
    last_ns = link.host_ns()
    for _ in range(200):
        arrival = link.read()
        assert 0 < arrival.host_ns - last_ns <= 20_300_000
        assert arrival.host_ns == link.host_ns()
        last_ns = arrival.host_ns


def test_flat_heartbeats_arrive_at_most_a_quarter_millisecond_late():
    link = open_practice("practice://alder?seed=2")
    decoder = Decoder()
    lags = []
    for _ in range(2000):
        arrival = link.read()
        lags += [arrival.host_ns - m.tick * 62.5 for m in decoder.feed(arrival.data) if isinstance(m, Heartbeat)]
    assert max(lags) - min(lags) <= 200_000 + 63


def test_at_real_pace_it_keeps_to_the_wall_clock_and_waits_at_most_20_ms(wall):
    link = open_practice("practice://alder?seed=3&pace=real")
    start(link)
    decoder = Decoder()
    beats = []
    for _ in range(300):
        arrival = link.read()
        assert arrival.host_ns == wall.now_ns == link.host_ns()
        beats += [(arrival.host_ns, m.tick) for m in decoder.feed(arrival.data) if isinstance(m, Heartbeat)]
    assert max(wall.slept) <= 0.020
    assert len(beats) == 30
    lags = [host_ns - tick * 62.5 for host_ns, tick in beats]
    assert max(lags) - min(lags) < 10_000_000


def test_at_real_pace_a_command_acts_at_the_moment_it_is_sent(wall):
    link = open_practice("practice://alder?seed=4&pace=real&flips=none")
    start(link)
    began_ns = wall.now_ns
    data = link.read().data
    wall.now_ns += 3_210_000
    sent_ns = wall.now_ns
    link.write(pack_command(Commands.DRIVE, 2, lead=4, level=1))
    data += link.read().data
    edges = [m for m in Decoder().feed(data) if isinstance(m, EdgeTicks)]
    start_tick = next(m.tick for m in Decoder().feed(data) if getattr(m, "command", None) == Commands.START)
    ticks = [int(t) for m in edges for t in m.ticks[m.tags & 15 == 4]]
    assert ticks == [(start_tick + (sent_ns - began_ns) * 2 // 125) % 2**32]


def test_a_long_stall_is_caught_up_in_slices_of_a_second(wall):
    link = open_practice("practice://alder?seed=5&pace=real")
    wall.now_ns += 10_000_000_000
    beats = 0
    for _ in range(10):
        found = [m for m in Decoder().feed(link.read().data) if isinstance(m, Heartbeat)]
        assert len(found) <= 10
        beats += len(found)
    assert beats == 100
    assert not wall.slept


def test_the_url_s_pace_goes_before_the_caller_s(wall):
    open_practice("practice://alder?pace=flat", pace="real").read()
    assert not wall.slept
    open_practice("practice://alder", pace="real").read()
    assert wall.slept


def test_a_wrong_url_opens_nothing():
    with pytest.raises(WrongCall):
        open_practice("practice://alder?speed=1")


def test_an_unplugged_bench_is_gone_after_what_came_before_it():
    link = open_practice("practice://alder?seed=6&unplug_s=2")
    start(link)
    for _ in range(100):
        assert link.read().data is not None
    with pytest.raises(PortGone):
        link.read()
    with pytest.raises(PortGone):
        link.write(b"\x00")


def test_a_closed_link_is_gone_and_closing_twice_is_harmless(tmp_path):
    link = open_practice("practice://alder?seed=7", truth=tmp_path / "t.json")
    link.close()
    (tmp_path / "t.json").unlink()
    link.close()
    assert not list(tmp_path.iterdir())
    with pytest.raises(PortGone):
        link.read()


def test_the_truth_is_written_at_the_close_and_not_before(tmp_path):
    path = tmp_path / "truth.json"
    link = open_practice("practice://alder?seed=8", truth=path)
    start(link)
    read_s(link, 10)
    assert not path.exists()
    link.close()
    document = json.loads(path.read_text())
    assert len(document["flips"]) >= 6
    assert {"at_s", "direction", "first_ms", "mid_ms", "near_final_ms"} <= document["flips"][0].keys()
    assert document["long_run"]["mid_ms"] > 0
    assert "PRACTICE" in document["practice"]
    assert [p.name for p in tmp_path.iterdir()] == ["truth.json"]


def test_a_truth_that_cannot_be_written_says_where_and_leaves_nothing(tmp_path):
    path = tmp_path / "nowhere" / "truth.json"
    link = open_practice("practice://alder?seed=9", truth=path)
    with pytest.raises(DiskTrouble, match="nowhere"):
        link.close()
    assert not list(tmp_path.iterdir())


def test_a_truth_in_the_place_of_a_folder_is_refused_and_leaves_no_draft(tmp_path):
    path = tmp_path / "truth.json"
    path.mkdir()
    link = open_practice("practice://alder?seed=9", truth=path)
    with pytest.raises(DiskTrouble):
        link.close()
    assert [p.name for p in tmp_path.iterdir()] == ["truth.json"]


def test_the_truth_holds_the_flips_that_were_recorded_and_no_others(tmp_path):
    path = tmp_path / "truth.json"
    link = open_practice("practice://alder?seed=10&flips=none", truth=path)
    for token, level in enumerate((1, 0), start=10):
        link.write(pack_command(Commands.DRIVE, token, lead=4, level=level))  # before the start
        read_s(link, 0.5)
    start(link, token=1)
    read_s(link, 0.5)
    link.write(pack_command(Commands.DRIVE, 2, lead=4, level=1))
    read_s(link, 1.0)
    link.write(pack_command(Commands.STOP, 3))  # the lead goes to rest: a flip nobody records
    read_s(link, 1.0)
    link.close()
    flips = json.loads(path.read_text())["flips"]
    assert [flip["direction"] for flip in flips] == ["up"]
    assert flips[0]["at_s"] == pytest.approx(0.5, abs=0.021)
    assert flips[0]["mid_ms"] is not None


def test_a_flip_at_the_end_of_a_recording_keeps_the_answer_it_would_have_had(tmp_path):
    whole, cut = tmp_path / "whole.json", tmp_path / "cut.json"
    for path, seconds in ((whole, 20.0), (cut, None)):
        link = open_practice("practice://birch?seed=11", truth=path)
        start(link)
        read_s(link, json.loads(whole.read_text())["flips"][5]["at_s"] + 0.021 if seconds is None else seconds)
        link.close()
    assert json.loads(cut.read_text())["flips"] == json.loads(whole.read_text())["flips"][:6]
