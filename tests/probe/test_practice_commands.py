"""The practice bench obeys commands as a probe does."""

import itertools

import pytest

from benchapp.probe.framing import encode_frame
from benchapp.probe.messages import BoardFrame, EdgeTicks, Heartbeat, Reply, State
from benchapp.probe.practice.link import open_practice
from benchapp.probe.wire import Commands, Decoder, Kind, Status, pack_command
from tests.probe.practice_reading import naive_pulses, read_s, start, understand

OUTPUT, SWITCH, LEVEL, FLIP, POWER, LAMP, SERVO = 0, 1, 3, 4, 5, 6, 7


class Bench:
    """A recording practice bench that leaves its switch alone, and everything it has sent."""

    def __init__(self, radio="alder", **options):
        query = "&".join(f"{key}={value}" for key, value in {"seed": 1, "flips": "none", **options}.items())
        self.link = open_practice(f"practice://{radio}?{query}")
        self.data = bytearray()
        self.token = 1
        start(self.link)

    def send(self, command, **fields):
        self.token += 1
        self.link.write(pack_command(command, self.token, **fields))

    def read(self, seconds):
        self.data += read_s(self.link, seconds)

    def reply(self, command, **fields):
        self.send(command, **fields)
        data = read_s(self.link, 0.05)
        self.data += data
        messages = Decoder().feed(data)
        return next(m for m in messages if isinstance(m, Reply) and m.token == self.token)

    def edges(self):
        return understand(bytes(self.data)).edges

    def last_beat(self):
        return [m for m in Decoder().feed(bytes(self.data)) if isinstance(m, Heartbeat)][-1]


def test_a_driven_flip_is_stamped_on_its_own_lead_and_on_the_switch_at_the_same_tick():
    bench = Bench()
    bench.read(1)
    for level in (1, 0, 1):
        bench.send(Commands.DRIVE, lead=FLIP, level=level)
        bench.read(0.7)
    edges = bench.edges()
    assert [level for _, level in edges["flip"]] == [1, 0, 1]
    assert edges["flip"] == edges["switch"]


def test_the_output_answers_a_driven_flip():
    bench = Bench()
    bench.read(0.5)
    bench.send(Commands.DRIVE, lead=FLIP, level=1)
    bench.read(0.5)
    edges = bench.edges()
    flip = edges["flip"][0][0]
    pulses = naive_pulses(edges["output"])
    before = [(b - a) / 16 for a, b in pulses if b < flip]
    after = [(b - a) / 16 for a, b in pulses if a > flip + 0.02 * 16e6]
    assert before == pytest.approx([1100] * len(before), abs=5)
    assert after == pytest.approx([1900] * len(after), abs=5)


def test_a_flip_for_later_comes_at_its_very_tick():
    bench = Bench()
    bench.read(0.5)
    now_tick = bench.last_beat().tick
    wanted = now_tick + 12_345_678
    assert bench.reply(Commands.DRIVE_AT, lead=FLIP, level=1, tick=wanted % 2**32).status == Status.DONE
    bench.data.clear()
    bench.read(1.5)
    ticks = [
        int(t)
        for m in Decoder().feed(bytes(bench.data))
        if isinstance(m, EdgeTicks)
        for t in m.ticks[m.tags & 15 == FLIP]
    ]
    assert ticks == [wanted % 2**32]


def test_a_tick_gone_by_is_not_now():
    bench = Bench()
    bench.read(0.5)
    past = (bench.last_beat().tick - 16_000_000) % 2**32
    assert bench.reply(Commands.DRIVE_AT, lead=FLIP, level=1, tick=past).status == Status.NOT_NOW


def test_driven_leads_rest_after_2_s_without_a_host_and_the_edge_is_stamped():
    bench = Bench()
    bench.read(0.3)
    bench.send(Commands.DRIVE, lead=FLIP, level=1)
    bench.send(Commands.DRIVE, lead=LAMP, level=1)
    bench.read(1.9)
    assert [level for _, level in bench.edges()["flip"]] == [1]
    bench.read(0.3)
    edges = bench.edges()
    assert [level for _, level in edges["flip"]] == [1, 0]
    assert (edges["flip"][1][0] - edges["flip"][0][0]) / 16e6 == pytest.approx(2.0, abs=1e-6)
    assert [level for _, level in edges["lamp"]] == [1, 0]
    assert bench.last_beat().state & State.AT_REST


def test_a_ping_keeps_driven_leads_where_they_are():
    bench = Bench()
    bench.send(Commands.DRIVE, lead=FLIP, level=1)
    for _ in range(5):
        bench.read(1.5)
        assert bench.reply(Commands.PING).status == Status.DONE
    assert [level for _, level in bench.edges()["flip"]] == [1]
    assert not bench.last_beat().state & State.AT_REST


def test_a_flip_planned_for_later_is_forgotten_when_the_leads_go_to_rest():
    bench = Bench()
    bench.read(0.2)
    bench.send(Commands.DRIVE_AT, lead=FLIP, level=1, tick=(bench.last_beat().tick + 3 * 16_000_000) % 2**32)
    bench.read(5)
    assert "flip" not in bench.edges()


def test_stop_puts_driven_leads_to_rest_and_ends_the_records():
    bench = Bench()
    bench.send(Commands.DRIVE, lead=FLIP, level=1)
    bench.read(0.5)
    assert bench.last_beat().lead_levels >> FLIP & 1
    bench.send(Commands.STOP)
    bench.read(0.5)
    beat = bench.last_beat()
    assert not beat.lead_levels >> FLIP & 1
    assert beat.state & State.AT_REST
    assert not beat.state & State.STARTED
    assert [level for _, level in bench.edges()["flip"]] == [1]
    assert bench.edges()["output"][-1][0] / 16e6 < 0.55


def test_a_reset_puts_driven_leads_to_rest():
    bench = Bench(reset_s=1)
    bench.send(Commands.DRIVE, lead=FLIP, level=1)
    bench.read(0.9)
    assert bench.last_beat().lead_levels >> FLIP & 1
    bench.data.clear()
    bench.read(0.5)
    assert bench.last_beat().state & State.AT_REST


@pytest.mark.parametrize(("radio", "pulses_while_off"), [("alder", False), ("birch", True), ("cedar", True)])
def test_switching_the_transmitter_off_and_on_brings_back_the_output_with_new_frames(radio, pulses_while_off):
    bench = Bench(radio, jitter_us=0)
    bench.read(1)
    bench.send(Commands.DRIVE, lead=POWER, level=0)
    bench.read(1)
    bench.send(Commands.DRIVE, lead=POWER, level=1)
    for _ in range(4):
        bench.read(1)
        bench.send(Commands.PING)
    edges = bench.edges()
    off, on = (tick for tick, _ in edges["radio power"])
    leading = [a for a, _ in naive_pulses(edges["output"])]
    assert any(off + 0.1 * 16e6 < tick < on for tick in leading) == pulses_while_off
    period = leading[1] - leading[0]
    moved = (leading[-1] - leading[0]) / period % 1.0
    assert 0.001 < moved < 0.999
    gaps = [(b - a) / 16e3 for a, b in itertools.pairwise(leading)]
    assert min(gaps) >= period / 16e3 - 0.001  # no pulse of the old frames among the new ones
    if radio == "birch":
        assert not any(off + 0.03 * 16e6 < tick < on for tick, _ in edges["module"])


def test_each_switching_on_has_an_offset_of_its_own():
    answers = []
    bench = Bench("birch", jitter_us=0, noise_us=0)
    for _ in range(4):
        bench.send(Commands.DRIVE, lead=POWER, level=0)
        bench.read(0.5)
        bench.send(Commands.DRIVE, lead=POWER, level=1)
        for _ in range(4):
            bench.read(1)
            bench.send(Commands.PING)
    clocks = bench.link._board.bench.switch_ons
    answers = [clock.offset for clock in clocks]
    assert len(answers) == len(set(answers)) == 5


def test_muting_a_lead_leaves_the_others():
    bench = Bench("birch")
    assert bench.reply(Commands.MUTE, lead=OUTPUT, on=1).status == Status.DONE
    bench.read(1)
    assert bench.last_beat().muted == 1 << OUTPUT
    bench.data.clear()
    bench.read(1)
    tags = {int(t) & 15 for m in Decoder().feed(bytes(bench.data)) if isinstance(m, EdgeTicks) for t in m.tags}
    assert tags == {2}
    bench.send(Commands.MUTE, lead=OUTPUT, on=0)
    bench.read(0.5)
    assert bench.last_beat().muted == 0


def test_a_lamp_s_flash_is_stamped_like_an_edge():
    bench = Bench()
    bench.read(0.1)
    bench.send(Commands.LAMP, lead=LAMP, duration_ms=50)
    bench.read(0.2)
    (on, _), (off, _) = bench.edges()["lamp"]
    assert off - on == 50 * 16_000


def test_servo_pulses_come_as_asked_until_told_otherwise():
    bench = Bench()
    bench.send(Commands.SERVO, lead=SERVO, pulse_ns=1_500_000, period_ns=20_000_000)
    bench.read(1)
    bench.send(Commands.SERVO, lead=SERVO, pulse_ns=0, period_ns=0)
    bench.read(1)
    edges = bench.edges()["servo pulses out"]
    pulses = naive_pulses(edges)
    assert {b - a for a, b in pulses[:-1]} == {24_000}
    assert {b[0] - a[0] for a, b in itertools.pairwise(pulses)} == {320_000}
    assert 49 <= len(pulses) <= 51


def test_a_repeated_token_is_answered_again_and_not_done_again():
    bench = Bench()
    bench.read(0.2)
    first = bench.reply(Commands.DRIVE, lead=FLIP, level=1)
    bench.read(0.2)
    bench.token -= 1
    again = bench.reply(Commands.DRIVE, lead=FLIP, level=0)
    assert again == first
    bench.read(0.2)
    assert bench.last_beat().lead_levels >> FLIP & 1


@pytest.mark.parametrize(
    ("command", "fields"),
    [
        (Commands.DRIVE, {"lead": OUTPUT, "level": 1}),
        (Commands.DRIVE, {"lead": FLIP, "level": 2}),
        (Commands.DRIVE_AT, {"lead": 15, "level": 1, "tick": 0}),
        (Commands.MUTE, {"lead": FLIP, "on": 1}),
        (Commands.MUTE, {"lead": OUTPUT, "on": 7}),
        (Commands.LAMP, {"lead": FLIP, "duration_ms": 10}),
        (Commands.LAMP, {"lead": LAMP, "duration_ms": 0}),
        (Commands.SERVO, {"lead": SERVO, "pulse_ns": 30_000_000, "period_ns": 20_000_000}),
        (Commands.SERVO, {"lead": FLIP, "pulse_ns": 1_500_000, "period_ns": 20_000_000}),
        (Commands.START, {"leads": 1, "level_rate_hz": 1001}),
        (Commands.BAUD, {"rate": 1}),
    ],
)
def test_a_wrong_field_is_said_to_be_wrong(command, fields):
    assert Bench().reply(command, **fields).status == Status.WRONG_FIELD


def test_an_unknown_command_and_a_short_one_are_answered_and_junk_is_counted():
    bench = Bench()
    bench.link.write(encode_frame(Kind.COMMAND, 0, bytes((99, 7))))
    bench.link.write(encode_frame(Kind.COMMAND, 0, bytes((Commands.DRIVE, 8))))
    bench.link.write(b"\x05not a frame\x00\x00" + bytes(range(1, 256)) * 9 + b"\x00")
    bench.read(0.3)
    replies = {m.token: m.status for m in Decoder().feed(bytes(bench.data)) if isinstance(m, Reply)}
    assert replies[7] == Status.UNKNOWN_COMMAND
    assert replies[8] == Status.WRONG_FIELD
    assert bench.last_beat().bad_received == 2


def test_identify_is_answered_with_the_descriptor():
    bench = Bench()
    bench.read(0.2)
    bench.data.clear()
    bench.send(Commands.IDENTIFY)
    bench.read(0.1)
    messages = Decoder().feed(bytes(bench.data))
    reply = next(n for n, m in enumerate(messages) if isinstance(m, Reply))
    assert isinstance(messages[reply + 1], BoardFrame)


def test_baud_rates_are_agreed_to():
    assert Bench().reply(Commands.BAUD, rate=500_000).status == Status.DONE


def test_a_command_may_come_cut_into_single_bytes():
    bench = Bench()
    for byte in pack_command(Commands.DRIVE, 9, lead=FLIP, level=1):
        bench.link.write(bytes((byte,)))
    bench.read(0.2)
    assert [level for _, level in bench.edges()["flip"]] == [1]
