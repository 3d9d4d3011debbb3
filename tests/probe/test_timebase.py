"""The session's clock: whole numbers checked against plain integers, wraps at every phase, and every loss told."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from benchapp.probe.account import GapCause
from benchapp.probe.messages import Reply
from benchapp.probe.ticks import TURN, extend_ticks, ticks_to_ns
from benchapp.probe.timebase import Answer, ProbeState, StretchOpened, Timebase
from benchapp.probe.wire import Commands, Decoder, Kind, Status, pack_reply
from benchapp.records.leads import Lead, LeadKind
from benchapp.records.stream import COARSE, LOST_BEFORE, ClockPairs, Edges, Gap, Levels
from tests.probe.scripted_probe import HZ, LEADS, ScriptedProbe, started

BEAT = HZ // 10
OUTPUT, SWITCH, STICK = 0, 1, 8
QUARTER = TURN // 4


class Bench:
    """A scripted probe, a decoder and a timebase in one; the host clock runs at the probe's rate unless told."""

    def __init__(self, *, zero: int = 1000, **facts) -> None:
        self.probe = ScriptedProbe(**facts)
        self.zero = zero
        self.decoder, self.timebase = Decoder(), Timebase()
        self.outputs: list = []
        self.take(started(self.probe, zero))

    def take(self, data: bytes, host_ns: int | None = None) -> list:
        if host_ns is None:
            host_ns = 10**15 + self.probe.tick * 10**9 // self.probe.hz
        fresh = self.timebase.feed(self.decoder.feed(data), host_ns)
        self.outputs += fresh
        return fresh

    def all_of(self, kind: type) -> list:
        return [output for output in self.outputs if isinstance(output, kind)]

    def edge_times(self, lead: int) -> list[int]:
        return [int(t) for edges in self.all_of(Edges) if edges.lead == lead for t in edges.times_ns]


def plain_ns(ticks: int, hz: int = HZ) -> int:
    """The same rule in Python's own integers, which have no size."""
    return (2 * ticks * 10**9 + hz) // (2 * hz)


def near_ns(ticks: int, hz: int) -> bool:
    return abs(int(ticks_to_ns(np.array([ticks]), hz)[0]) * hz - ticks * 10**9) * 2 <= hz


@given(st.lists(st.integers(-(2**53), 2**53), min_size=1), st.integers(1_000, 2**32 - 1))
@settings(deadline=None)
def test_nanoseconds_equal_those_of_plain_integers(ticks, hz):
    ticks = [tick for tick in ticks if abs(tick) < hz * 9 * 10**9] or [0]
    exact = [(tick // hz) * 10**9 + ((tick % hz) * 10**9 + hz // 2) // hz for tick in ticks]
    assert ticks_to_ns(np.array(ticks, np.int64), hz).tolist() == exact
    assert all(near_ns(tick, hz) for tick in ticks)


@pytest.mark.parametrize("hz", [16_000_000, 48_000_000, 72_000_000, 1_000_000_000, 2**32 - 1])
def test_nanoseconds_are_right_where_one_product_would_overflow(hz):
    # ticks * 10**9 leaves 64 bits after 576 s at 16 MHz
    tick = 577 * hz + 7
    assert ticks_to_ns(np.array([tick]), hz)[0] == 577 * 10**9 + round(7 * 10**9 / hz)


@given(st.integers(0, 2**50), st.lists(st.integers(-QUARTER, TURN - QUARTER - 1), min_size=1, max_size=60))
@settings(max_examples=200, deadline=None)
def test_whole_ticks_come_back_from_their_low_halves(start, steps):
    whole, at = [], start
    for step in steps:
        at = max(at + step, at - QUARTER)
        whole.append(at)
    lows = np.array([tick % TURN for tick in whole], np.uint32)
    assert extend_ticks(lows, start).tolist() == whole


@given(st.integers(0, TURN - 1), st.integers(1, 7))
@settings(max_examples=40, deadline=None)
def test_a_session_keeps_every_stamp_through_wraps_at_any_phase(zero, minutes):
    bench = Bench(zero=zero)
    sent = []
    for second in range(minutes * 60):
        tick = zero + second * HZ
        bench.take(bench.probe.heartbeat(tick))
        sent += [tick + 5, tick + 24_000]
        bench.take(bench.probe.edges((OUTPUT, 1, tick + 5), (OUTPUT, 0, (tick + 24_000))))
    assert bench.edge_times(OUTPUT) == [plain_ns(tick - zero) for tick in sent]
    assert not bench.all_of(Gap)


@pytest.mark.parametrize("step", range(-13, 14))
def test_an_edge_on_either_side_of_a_wrap_is_placed_to_the_tick(step):
    zero = TURN - BEAT
    bench = Bench(zero=zero)
    bench.take(bench.probe.heartbeat(TURN - 100))
    bench.take(bench.probe.edges((OUTPUT, 1, TURN + step)))
    assert bench.edge_times(OUTPUT) == [plain_ns(BEAT + step)]


def test_silence_of_nearly_three_quarters_of_a_turn_is_bridged_without_a_heartbeat():
    bench = Bench(zero=0)
    ticks = [0, TURN - QUARTER - 1, 2 * (TURN - QUARTER - 1)]
    for tick in ticks:
        bench.take(bench.probe.edges((OUTPUT, 1, tick)))
    assert bench.edge_times(OUTPUT) == [plain_ns(tick) for tick in ticks]


def test_a_heartbeat_carries_the_clock_over_a_silence_of_any_length():
    bench = Bench(zero=0)
    far = 5 * TURN + 12_345
    bench.take(bench.probe.heartbeat(far))
    bench.take(bench.probe.edges((OUTPUT, 1, far - 3), (OUTPUT, 0, far + 3)))
    assert bench.edge_times(OUTPUT) == [plain_ns(far - 3), plain_ns(far + 3)]


def test_session_zero_is_the_tick_of_the_first_start():
    bench = Bench(zero=123_456_789_012)
    (opened,) = bench.all_of(StretchOpened)
    assert (opened.stretch.number, opened.stretch.origin_tick, opened.stretch.origin_ns) == (1, 123_456_789_012, 0)
    assert opened.stretch.leads == LEADS
    (answer,) = bench.all_of(Answer)
    assert (answer.command, answer.token, answer.status, answer.at_ns) == (Commands.START, 7, 0, 0)


def test_nothing_is_recorded_before_the_first_start():
    probe, timebase, decoder = ScriptedProbe(), Timebase(), Decoder()
    stream = probe.edges((OUTPUT, 1, 5)) + probe.descriptor() + probe.heartbeat(10) + probe.edges((OUTPUT, 0, 20))
    assert timebase.feed(decoder.feed(stream), 0) == []
    assert timebase.needs_start
    assert not timebase.needs_identify


def test_edges_stamped_before_session_zero_are_left_out():
    bench = Bench(zero=10_000)
    bench.take(bench.probe.edges((OUTPUT, 1, 9_999), (OUTPUT, 0, 10_000), (OUTPUT, 1, 10_016)))
    assert bench.edge_times(OUTPUT) == [0, 1_000]
    bench.take(bench.probe.heartbeat(20_000))
    assert not bench.all_of(Gap)


def test_the_bias_of_a_lead_is_subtracted_and_no_other_s():
    bench = Bench(zero=0)
    bench.take(bench.probe.edges((OUTPUT, 1, 16_000), (SWITCH, 1, 16_000)))
    assert bench.edge_times(OUTPUT) == [1_000_000]
    assert bench.edge_times(SWITCH) == [1_000_000 - 1_190]


def test_levels_and_flags_of_edges_are_passed_on():
    bench = Bench(zero=0)
    bench.take(bench.probe.edges((OUTPUT, 1, 100), (OUTPUT, 0, 200), flags=0x20))
    bench.take(bench.probe.edges((OUTPUT, 1, 300), flags=0x40))
    first, second = bench.all_of(Edges)
    assert (first.levels.tolist(), first.flags.tolist()) == ([1, 0], [COARSE, COARSE])
    assert (second.levels.tolist(), second.flags.tolist()) == ([1], [LOST_BEFORE])
    assert not first.times_ns.flags.writeable


def test_level_samples_run_from_their_first_tick_by_their_step():
    bench = Bench(zero=TURN - 32_000)
    bench.take(bench.probe.samples(STICK, TURN - 16_000, 16_000, [500, 501, 1023]))
    (levels,) = bench.all_of(Levels)
    assert levels.lead == STICK
    assert levels.times_ns.tolist() == [1_000_000, 2_000_000, 3_000_000]
    assert levels.values.dtype == np.uint16
    assert levels.values.tolist() == [500, 501, 1023]


def test_missing_level_samples_are_a_gap_of_that_lead():
    bench = Bench(zero=0)
    bench.take(bench.probe.samples(STICK, 0, 16_000, [1, 2]))
    bench.take(bench.probe.samples(STICK, 32_000, 16_000, [3, 4]))
    assert not bench.all_of(Gap)
    bench.take(bench.probe.samples(STICK, 96_000, 16_000, [7]))
    (gap,) = bench.all_of(Gap)
    assert (gap.leads, gap.from_ns, gap.to_ns, gap.cause) == (
        (STICK,), 3_000_000, 6_000_000, GapCause.SAMPLES_MISSING,
    )  # fmt: skip


def test_heartbeats_give_clock_pairs_and_the_probe_s_state():
    bench = Bench(zero=0)
    bench.probe.muted = 1 << SWITCH
    bench.take(bench.probe.heartbeat(BEAT), host_ns=77)
    (pair,) = bench.all_of(ClockPairs)
    assert (pair.probe_ns.tolist(), pair.host_ns.tolist()) == ([100_000_000], [77])
    (state,) = bench.all_of(ProbeState)
    assert state.at_ns == 100_000_000
    assert state.heartbeat.muted == 1 << SWITCH
    assert state.heartbeat.last_levels == ((STICK, 512),)


def test_a_muted_lead_has_a_gap_as_long_as_it_is_muted():
    bench = Bench(zero=0)
    bench.take(bench.probe.heartbeat(BEAT))
    bench.probe.muted = 1 << SWITCH
    bench.take(bench.probe.heartbeat(2 * BEAT))
    (gap,) = bench.all_of(Gap)
    assert (gap.leads, gap.from_ns, gap.to_ns) == ((SWITCH,), 100_000_000, 200_000_000)
    assert gap.cause == GapCause.MUTED


def test_edges_lost_on_the_board_are_a_gap_of_their_lead_and_counted_at_the_heartbeat():
    bench = Bench(zero=0)
    bench.take(bench.probe.edges((OUTPUT, 1, 16_000), (SWITCH, 1, 20_000)))
    bench.take(bench.probe.edges((OUTPUT, 1, 48_000), flags=0x40))
    bench.probe.lost = 5
    bench.take(bench.probe.heartbeat(BEAT))
    at_edge, counted = bench.all_of(Gap)
    assert (at_edge.leads, at_edge.from_ns, at_edge.to_ns, at_edge.count) == ((OUTPUT,), 1_000_000, 3_000_000, None)
    assert (counted.cause, counted.count, counted.to_ns) == (GapCause.BOARD_LOST, 5, 100_000_000)
    assert counted.from_ns <= at_edge.from_ns


def test_counters_of_16_bits_may_wrap():
    bench = Bench(zero=0)
    bench.probe.lost = 65_534
    bench.take(bench.probe.heartbeat(BEAT))
    bench.probe.lost, bench.probe.folded, bench.probe.level_lost = 65_537, 2, 3
    bench.take(bench.probe.heartbeat(2 * BEAT))
    counts = [(gap.cause, gap.count) for gap in bench.all_of(Gap)]
    assert counts == [
        (GapCause.BOARD_LOST, 65_534), (GapCause.BOARD_LOST, 3), (GapCause.FOLDED, 2), (GapCause.SAMPLES_LOST, 3),
    ]  # fmt: skip


def test_many_losses_in_one_arrival_become_one_gap():
    bench = Bench(zero=0)
    bench.take(bench.probe.edges(*[(OUTPUT, n % 2, 16_000 * n) for n in range(1, 41)], flags=0x40))
    (gap,) = bench.all_of(Gap)
    assert (gap.from_ns, gap.to_ns) == (0, 40_000_000)


def test_a_lost_frame_is_a_gap_with_its_extent_at_once_and_its_count_at_the_heartbeat():
    bench = Bench(zero=0)
    bench.take(bench.probe.edges((OUTPUT, 1, 16_000)))
    bench.probe.edges((OUTPUT, 0, 32_000), (SWITCH, 1, 40_000), (OUTPUT, 1, 48_000))
    bench.take(bench.probe.edges((OUTPUT, 0, 64_000)))
    (extent,) = bench.all_of(Gap)
    assert (extent.leads, extent.to_ns, extent.count, extent.cause) == ((), 4_000_000, None, "frames-missing")
    assert 1_000_000 - 1_190 <= extent.from_ns <= 1_000_000
    bench.take(bench.probe.heartbeat(BEAT))
    _, counted = bench.all_of(Gap)
    assert (counted.cause, counted.count) == (GapCause.RECORDS_MISSING, 3)
    assert (counted.from_ns, counted.to_ns) == (extent.from_ns, extent.to_ns)


def test_a_gap_reaches_back_to_where_a_lost_edge_with_bias_would_be_stamped():
    bench = Bench(zero=0)
    bench.take(bench.probe.edges((OUTPUT, 1, 16_000)))
    bench.probe.edges((SWITCH, 1, 16_001))
    bench.take(bench.probe.edges((OUTPUT, 0, 48_000)))
    (gap,) = bench.all_of(Gap)
    assert gap.from_ns <= plain_ns(16_001) - 1_190 <= gap.to_ns


def test_the_gap_stands_before_the_edges_that_end_it():
    bench = Bench(zero=0)
    bench.probe.edges((OUTPUT, 0, 32_000))
    fresh = bench.take(bench.probe.edges((OUTPUT, 0, 64_000)))
    assert [type(output) for output in fresh] == [Gap, Edges]


def test_noise_that_cost_no_record_is_a_gap_without_a_count():
    bench = Bench(zero=0)
    bench.take(bench.probe.edges((OUTPUT, 1, 16_000)) + b"xyz\0" + bench.probe.heartbeat(BEAT))
    (gap,) = bench.all_of(Gap)
    assert (gap.cause, gap.count) == ("bad-coding", None)


def test_256_lost_frames_show_though_the_numbers_do_not():
    bench = Bench(zero=0)
    bench.take(bench.probe.heartbeat(BEAT))
    for number in range(256):
        bench.probe.edges((OUTPUT, number % 2, BEAT + 100 * number))
    bench.take(bench.probe.heartbeat(2 * BEAT))
    (gap,) = bench.all_of(Gap)
    assert (gap.cause, gap.count, gap.to_ns) == (GapCause.RECORDS_MISSING, 256, 200_000_000)
    assert gap.from_ns <= 100_000_000


LOSSES = st.lists(st.tuples(st.sampled_from(["keep", "lose", "spoil"]), st.integers(1, 12)), max_size=60)


@given(LOSSES, st.integers(0, TURN - 1))
@settings(max_examples=100, deadline=None)
def test_received_and_counted_missing_add_up_to_what_was_sent(frames, zero):
    bench = Bench(zero=zero)
    tick, sent, kept = zero + 100, 0, []
    for number, (fate, count) in enumerate(frames):
        records = [(OUTPUT, k % 2, tick + 500 * k) for k in range(count)]
        tick += 500 * count
        sent += count
        data = bytearray(bench.probe.edges(*records))
        if fate == "keep":
            kept += [plain_ns(record[2] - zero) for record in records]
        elif fate == "spoil":
            data[2] ^= 1
            data[2] |= data[2] == 0
        if fate != "lose":
            bench.take(bytes(data))
        if number % 10 == 9:
            bench.take(bench.probe.heartbeat(tick))
    bench.take(bench.probe.heartbeat(tick))
    got = bench.edge_times(OUTPUT)
    gaps = bench.all_of(Gap)
    assert got == kept
    assert len(got) + sum(gap.count or 0 for gap in gaps) == sent
    # no two stamps on either side of a loss without a gap between them
    lost_at = [fate != "keep" for fate, count in frames for _ in range(count)]
    all_sent = [plain_ns(100 + 500 * k) for k in range(len(lost_at))]
    for at_ns, lost in zip(all_sent, lost_at, strict=True):
        assert not lost or any(gap.from_ns <= at_ns <= gap.to_ns for gap in gaps)


def test_edges_that_go_back_in_time_are_left_out_and_counted():
    bench = Bench(zero=0)
    bench.take(bench.probe.edges((OUTPUT, 1, 16_000), (OUTPUT, 0, 8_000), (OUTPUT, 0, 32_000)))
    bench.take(bench.probe.edges((OUTPUT, 1, 24_000)))
    assert bench.edge_times(OUTPUT) == [1_000_000, 2_000_000]
    assert [(gap.cause, gap.count) for gap in bench.all_of(Gap)] == [(GapCause.OUT_OF_ORDER, 1)] * 2


def test_a_lead_nobody_described_is_a_gap_and_no_record():
    bench = Bench(zero=0)
    bench.take(bench.probe.edges((5, 1, 16_000)) + bench.probe.samples(3, 100, 5, [9]))
    assert not bench.all_of(Edges)
    assert not bench.all_of(Levels)
    assert [(gap.cause, gap.count) for gap in bench.all_of(Gap)] == [(GapCause.UNKNOWN_LEAD, 1)] * 2


def reset_and_start(bench: Bench, start_id: int, tick: int, host_ns: int) -> list:
    data = bench.probe.reset(start_id, tick=tick)
    data += bench.probe.hear(b"")
    bench.probe.started = True
    return bench.take(data + bench.probe.reply(Commands.START, 9), host_ns)


def test_a_new_start_id_opens_a_stretch_placed_by_the_host_clock():
    bench = Bench(zero=0)
    bench.take(bench.probe.edges((OUTPUT, 1, 16_000)) + bench.probe.heartbeat(BEAT), host_ns=5_000_000_000)
    fresh = reset_and_start(bench, 0xABCD, tick=400, host_ns=7_500_000_000)
    assert [type(output) for output in fresh] == [Gap, StretchOpened, Answer]
    gap, opened, answer = fresh
    assert (gap.from_ns, gap.to_ns, gap.cause) == (100_000_000, 2_600_000_000, GapCause.RESTART)
    assert (opened.stretch.number, opened.stretch.origin_tick) == (2, 400)
    assert opened.stretch.origin_ns == answer.at_ns == 2_600_000_000
    assert opened.stretch.board.start_id == 0xABCD
    bench.take(bench.probe.edges((OUTPUT, 0, 400 + 16_000)))
    assert bench.edge_times(OUTPUT) == [1_000_000, 2_601_000_000]


def test_a_stretch_never_begins_before_the_last_stamp():
    bench = Bench(zero=0)
    bench.take(bench.probe.heartbeat(BEAT), host_ns=5_000_000_000)
    bench.take(bench.probe.edges((OUTPUT, 1, 3 * BEAT)), host_ns=5_000_000_001)
    _, opened, _ = reset_and_start(bench, 0xABCD, tick=0, host_ns=5_000_000_002)
    assert opened.stretch.origin_ns == 300_000_000


def test_a_heartbeat_that_goes_back_ends_the_stretch_and_one_that_records_opens_the_next():
    bench = Bench(zero=0)
    bench.take(bench.probe.heartbeat(50 * BEAT), host_ns=9_000_000_000)
    fresh = bench.take(bench.probe.heartbeat(2 * BEAT), host_ns=9_100_000_000)
    opened = fresh[1].stretch
    assert (opened.number, opened.origin_tick, opened.origin_ns) == (2, 2 * BEAT, 5_100_000_000)
    bench.take(bench.probe.edges((OUTPUT, 1, 2 * BEAT + 16)) + bench.probe.heartbeat(3 * BEAT))
    assert bench.edge_times(OUTPUT) == [5_100_001_000]
    assert [gap.cause for gap in bench.all_of(Gap)] == [GapCause.RESTART]


def test_a_stretch_that_opens_at_a_heartbeat_counts_from_its_counters():
    bench = Bench(zero=0)
    bench.take(bench.probe.edges((OUTPUT, 1, 16_000)) + bench.probe.heartbeat(50 * BEAT))
    bench.probe.lost, bench.probe.folded, bench.probe.level_lost = 7, 8, 9
    bench.take(bench.probe.heartbeat(2 * BEAT))
    bench.take(bench.probe.edges((OUTPUT, 0, 2 * BEAT + 16)) + bench.probe.heartbeat(3 * BEAT))
    assert [gap.cause for gap in bench.all_of(Gap)] == [GapCause.RESTART]


def test_a_heartbeat_of_another_start_id_asks_for_the_descriptor():
    bench = Bench(zero=0)
    bench.take(bench.probe.heartbeat(BEAT))
    bench.probe.reset(0x99)  # its descriptor is lost
    assert bench.take(bench.probe.heartbeat(5 * BEAT)) == []
    assert bench.timebase.needs_identify
    bench.take(bench.probe.descriptor())
    assert bench.timebase.needs_start
    assert bench.timebase.stretch is None


def test_a_descriptor_with_a_lead_missing_is_not_whole():
    probe, timebase, decoder = ScriptedProbe(), Timebase(), Decoder()
    whole = probe.descriptor().split(b"\0")
    timebase.feed(decoder.feed(b"\0".join([*whole[:2], *whole[3:]])), 0)
    assert timebase.needs_identify
    timebase.feed(decoder.feed(probe.descriptor()), 0)
    assert timebase.needs_start


def test_the_same_descriptor_again_changes_nothing():
    bench = Bench(zero=0)
    assert bench.take(bench.probe.descriptor()) == []
    assert bench.timebase.stretch is not None


@pytest.mark.parametrize("frames_before", range(12))
def test_a_reset_after_any_frame_keeps_everything_before_and_after_it(frames_before):
    bench = Bench(zero=0)
    for number in range(frames_before):
        edge = (OUTPUT, number % 2, 16_000 * (number + 1))
        bench.take(bench.probe.heartbeat(BEAT) if number % 4 == 3 else bench.probe.edges(edge), host_ns=10**9)
    before = bench.edge_times(OUTPUT)
    assert len(before) == sum(number % 4 != 3 for number in range(frames_before))
    reset_and_start(bench, 0xF00D + frames_before, tick=16, host_ns=3 * 10**9)
    bench.take(bench.probe.edges((OUTPUT, 1, 16 + 160)) + bench.probe.heartbeat(BEAT))
    origin_ns = bench.all_of(StretchOpened)[1].stretch.origin_ns
    assert bench.edge_times(OUTPUT) == [*before, origin_ns + 10_000]
    assert sum(gap.count or 0 for gap in bench.all_of(Gap)) == 0


def test_a_replug_opens_a_stretch_though_the_probe_kept_running():
    bench = Bench(zero=0)
    bench.take(bench.probe.heartbeat(BEAT), host_ns=10**9)
    bench.timebase.unplugged()
    bench.decoder = Decoder()
    assert bench.take(bench.probe.heartbeat(20 * BEAT), host_ns=3 * 10**9) == []
    fresh = bench.take(bench.probe.descriptor() + bench.probe.reply(Commands.START, 8), host_ns=3 * 10**9)
    gap, opened, _ = fresh
    assert opened.stretch.origin_ns == gap.to_ns == 2_100_000_000


def test_a_second_start_begins_the_count_anew_and_keeps_the_stretch():
    bench = Bench(zero=0)
    bench.take(bench.probe.edges((OUTPUT, 1, 16_000), (OUTPUT, 0, 17_000)))
    bench.probe._records, bench.probe.tick = 0, BEAT
    bench.take(bench.probe.reply(Commands.START, 8))
    bench.take(bench.probe.edges((OUTPUT, 1, BEAT + 5)) + bench.probe.heartbeat(2 * BEAT))
    assert not bench.all_of(Gap)
    assert len(bench.all_of(StretchOpened)) == 1


@pytest.mark.parametrize("hz", [HZ, 1_000])
@pytest.mark.parametrize("ahead_s", [120, 86_400, 3e8, -120])
def test_a_start_reply_far_from_the_probe_s_now_begins_nothing_and_leaves_no_gap_to_there(hz, ahead_s):
    bench = Bench(zero=200 * hz, hz=hz)
    bench.take(bench.probe.heartbeat(201 * hz))
    bench.take(b"\x05\x05\x05\x00")  # damage: the next stamp of the probe's ends its gap
    reply = Reply(command=Commands.START, token=99, status=Status.DONE, tick=201 * hz + round(ahead_s * hz))
    (answer,) = bench.take(bench.probe.frame(Kind.REPLY, pack_reply(reply)))
    assert (answer.token, answer.at_ns) == (99, None)
    bench.take(bench.probe.edges((OUTPUT, 1, 201 * hz + 5)) + bench.probe.heartbeat(202 * hz))
    assert bench.edge_times(OUTPUT) == [plain_ns(hz + 5, hz)]
    assert all(abs(gap.from_ns) <= gap.to_ns <= 2 * 10**9 for gap in bench.all_of(Gap))
    assert len(bench.all_of(StretchOpened)) == 1


@pytest.mark.parametrize("tick", [2**62, 2**63 - 1])
def test_a_start_reply_at_the_end_of_all_ticks_never_leaves_64_bits(tick):
    """A counter of 1,000 ticks a second would reach a hundred million years: no session file has room for that."""
    bench = Bench(zero=0, hz=1_000)
    reply = Reply(command=Commands.START, token=99, status=Status.DONE, tick=tick)
    bench.take(b"\x05\x05\x05\x00" + bench.probe.frame(Kind.REPLY, pack_reply(reply)))
    bench.take(bench.probe.heartbeat(100))
    assert all(gap.to_ns < 10**12 for gap in bench.all_of(Gap))


def test_a_heartbeat_years_ahead_is_another_clock():
    bench = Bench(zero=0)
    bench.take(bench.probe.heartbeat(2**62), host_ns=10**9)
    assert bench.all_of(StretchOpened)[-1].stretch.number == 2
    bench.take(bench.probe.edges((OUTPUT, 1, 2**62 + 16)))
    assert all(0 <= at_ns < 10**12 for at_ns in bench.edge_times(OUTPUT))


RATES = st.sampled_from([16_000_000, 16_000_001, 48_000_000, 1_000_000, 2**32 - 1])


@given(RATES, st.integers(0, 2**45), st.lists(st.integers(0, 2**31), min_size=1, max_size=40))
@settings(max_examples=60, deadline=None)
def test_stamps_equal_plain_integers_at_any_rate(hz, zero, steps):
    lead = Lead(index=0, label="output", kind=LeadKind.EDGE, resolution_ns=1.0, bias_ns=0.0)
    bench = Bench(zero=zero, hz=hz, leads=(lead,))
    at, sent = zero, []
    for step in steps:
        at += step
        sent.append(at)
        bench.take(bench.probe.edges((0, 1, at)))
    exact = [(tick - zero) // hz * 10**9 + ((tick - zero) % hz * 10**9 + hz // 2) // hz for tick in sent]
    assert bench.edge_times(0) == exact


@given(st.lists(st.binary(max_size=60), max_size=30), st.booleans())
@settings(max_examples=100, deadline=None)
def test_no_payload_whatever_raises(payloads, begun):
    bench = Bench(zero=0)
    if not begun:
        bench.timebase = Timebase()
    for number, payload in enumerate(payloads):
        bench.take(bench.probe.frame(1 + number % 5, payload), host_ns=number)
