"""The practice bench sends wire format 1 as a probe does: the same for a seed, whole, in time."""

import hashlib
import itertools

import pytest

from benchapp.probe.framing import FrameSplitter
from benchapp.probe.messages import BoardFrame, Damage, EdgeTicks, Heartbeat, LeadFrame, LevelTicks
from benchapp.probe.practice.counter import TickCounter
from benchapp.probe.practice.link import open_practice
from benchapp.probe.wire import Decoder
from benchapp.records.leads import ClockKind, LeadKind
from tests.probe.practice_reading import read_s, record, start, understand


def recorded_bytes(url, seconds):
    link = open_practice(url)
    start(link, level_rate_hz=100)
    return read_s(link, seconds)


@pytest.mark.parametrize("radio", ["alder", "birch", "cedar"])
def test_the_same_url_sends_the_same_bytes_and_another_seed_others(radio):
    url = f"practice://{radio}?seed=1&dropout=0.1&dead=0.1&glitch_per_s=1"
    assert recorded_bytes(url, 5) == recorded_bytes(url, 5)
    assert recorded_bytes(url, 5) != recorded_bytes(url.replace("seed=1", "seed=2"), 5)


@pytest.mark.parametrize("url", ["practice://birch?seed=2", "practice://alder?seed=3&glitch_per_s=20"])
def test_received_equals_sent_at_every_heartbeat(url):
    recording = record(url, 20, level_rate_hz=250)
    received = heartbeats = 0
    for message in recording.messages:
        if isinstance(message, EdgeTicks):
            received += message.ticks.size
        elif isinstance(message, LevelTicks):
            received += message.counts.size
        elif isinstance(message, Heartbeat):
            assert message.records_sent == received
            heartbeats += 1
    assert received > 1000
    assert heartbeats in (199, 200, 201)


def test_heartbeats_come_every_tenth_of_a_second_and_count_every_frame():
    data = recorded_bytes("practice://cedar?seed=4", 10)
    frames = FrameSplitter().feed(data)
    beats = [m for m in Decoder().feed(data) if isinstance(m, Heartbeat)]
    places = [n for n, frame in enumerate(frames) if frame[0] == 3]
    assert [beat.frames_sent for beat in beats] == places
    assert {b.tick - a.tick for a, b in itertools.pairwise(beats)} == {1_600_000}


def test_edges_are_flushed_within_5_ms_in_frames_of_at_most_12():
    link = open_practice("practice://birch?seed=5")
    start(link)
    splitter, decoder = FrameSplitter(), Decoder()
    beat = None
    board_ns = 0
    checked = 0
    for _ in range(500):
        data = link.read().data
        board_ns += 20_000_000
        sizes = [(len(frame) - 2) // 5 for frame in splitter.feed(data) if frame[0] == 1]
        assert all(1 <= size <= 12 for size in sizes)
        for message in decoder.feed(data):
            if isinstance(message, Heartbeat):
                beat = (message.tick, board_ns)  # sent at the end of this very read
            elif isinstance(message, EdgeTicks) and beat is not None:
                age = [((beat[0] & 0xFFFFFFFF) - int(tick)) % 2**32 for tick in message.ticks]
                age = [a - 2**32 if a > 2**31 else a for a in age]
                oldest_ns = max(age) * 62.5 + (board_ns - beat[1])
                assert oldest_ns <= 25_000_000 + 63
                checked += 1
    assert checked > 400


def test_the_descriptor_comes_unasked_and_says_practice():
    link = open_practice("practice://birch?seed=6")
    messages = Decoder().feed(link.read().data)
    board = messages[0]
    leads = [message.lead for message in messages if isinstance(message, LeadFrame)]
    assert isinstance(board, BoardFrame)
    assert board.board.clock_kind is ClockKind.PRACTICE
    assert board.board.tick_hz == 16_000_000
    assert board.lead_count == len(leads)
    assert {lead.role for lead in leads} >= {"output", "switch", "module", "voltage", "drive"}
    assert {lead.label for lead in leads if lead.kind is LeadKind.DRIVE} >= {"flip", "radio power"}
    assert all(lead.resolution_ns == 62.5 and lead.bias_ns == 0 for lead in leads if lead.kind is LeadKind.EDGE)


def test_start_ids_look_random_and_belong_to_the_seed():
    def start_id(seed):
        return Decoder().feed(open_practice(f"practice://alder?seed={seed}").read().data)[0].board.start_id

    ids = [start_id(seed) for seed in range(20)]
    assert len(set(ids)) == 20
    assert ids == [start_id(seed) for seed in range(20)]
    assert max(ids) - min(ids) > 2**31


def test_the_32_bits_of_the_stamps_turn_over_within_a_session_of_some_seed():
    turned = 0
    for seed in range(12):
        messages = Decoder().feed(recorded_bytes(f"practice://alder?seed={seed}", 40))
        beats = [m.tick >> 32 for m in messages if isinstance(m, Heartbeat)]
        turned += beats[0] != beats[-1]
    assert turned >= 1


def test_level_samples_come_at_the_rate_asked_from_the_start_on():
    recording = record("practice://alder?seed=7", 5, level_rate_hz=500)
    samples = recording.of(LevelTicks)
    assert samples[0].first_tick == recording.start_tick & 0xFFFFFFFF
    assert {message.step for message in samples} == {32_000}
    assert 2400 <= sum(message.counts.size for message in samples) <= 2505
    assert all(500 < count < 520 for message in samples for count in message.counts)


def test_only_the_leads_asked_for_are_recorded():
    link = open_practice("practice://birch?seed=8")
    start(link, leads=0b010, level_rate_hz=1000)
    recording = understand(read_s(link, 5))
    assert set(recording.edges) == {"switch"}
    assert not recording.of(LevelTicks)


def test_nothing_is_recorded_before_the_start_but_heartbeats_come():
    recording = understand(read_s(open_practice("practice://alder?seed=9"), 3))
    assert not recording.edges
    assert len(recording.of(Heartbeat)) >= 29


def test_damage_spoils_frames_and_the_decoder_says_so():
    link = open_practice("practice://alder?seed=10&damage=0.05")
    start(link)
    messages = Decoder().feed(read_s(link, 20))
    assert 20 < sum(isinstance(message, Damage) for message in messages) < 300


def test_a_reset_brings_a_new_start_id_a_count_from_0_and_no_records_until_the_next_start():
    link = open_practice("practice://alder?seed=11&reset_s=3")
    start(link)
    messages = Decoder().feed(read_s(link, 6))
    boards = [n for n, message in enumerate(messages) if isinstance(message, BoardFrame)]
    assert len(boards) == 2
    assert messages[boards[0]].board.start_id != messages[boards[1]].board.start_id
    after = messages[boards[1] :]
    assert not any(isinstance(message, EdgeTicks) for message in after)
    assert next(message.tick for message in after if isinstance(message, Heartbeat)) <= 1_600_000
    start(link, token=2)
    assert any(isinstance(message, EdgeTicks) for message in Decoder().feed(read_s(link, 1)))


@pytest.mark.parametrize("clock_ppm", [0.0, 37.5, -3283.0, 1258.0])
def test_the_counter_shows_the_last_whole_tick_and_finds_its_own_instants(clock_ppm):
    counter = TickCounter(at_ns=5, tick=1000, clock_ppm=clock_ppm)
    for ns in (5, 67, 68, 1_000_005, 3_600_000_000_005, 3_600_000_000_067):
        exact = 1000 + (ns - 5) * 16 * (10**7 + round(clock_ppm * 10)) // 10**10
        assert counter.tick_at(ns) == exact
    for tick in (1000, 1001, 12_345_678, 57_600_000_000):
        ns = counter.ns_of(tick)
        assert counter.tick_at(ns) >= tick > counter.tick_at(ns - 1)


@pytest.mark.parametrize(
    ("url", "digest"),
    [
        ("practice://alder?seed=1", "9f4573cf9b44c805"),
        ("practice://birch?seed=2&flips=golden&offset=new", "2331e1faa8efb6c3"),
        ("practice://cedar?seed=3&dropout=0.1&dead=0.1&glitch_per_s=1", "7948f0b751917d3c"),
    ],
)
def test_a_url_of_before_still_sends_what_it_sent(url, digest):
    # No source but this program itself, as it was on 2026-11-25: a run of the practice bench can be recorded again.
    assert hashlib.sha256(recorded_bytes(url, 8)).hexdigest()[:16] == digest
