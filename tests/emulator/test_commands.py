"""The probe obeys every command, refuses what it cannot do, and never drives a lead without a host."""

import numpy as np
import pytest

from benchapp.probe.framing import encode_frame
from benchapp.probe.messages import BoardFrame, Heartbeat, LeadFrame, Reply
from benchapp.probe.wire import Commands, Kind, Status, pack_command
from tests.emulator.conftest import NewProbe
from tests.emulator.emulated import HZ, MS
from tests.emulator.truth import DRIVE, LAMP, OUTPUT, PIN_OF, SERVO, SWITCH, Probe, alternate

AT_REST = 4
HEARD = 2
STARTED = 1


def levels(probe: Probe, lead: int) -> list[tuple[int, int]]:
    """Every change of a driven pin: cycle and level."""
    return [(int(row["cycle"]), int(row["level"])) for row in probe.happened(lead)]


def test_identify_is_answered_then_the_board_and_each_lead_are_told(probe: Probe) -> None:
    board = probe.board
    asked = board.ask(Commands.IDENTIFY)
    board.run(100)
    reply, facts, *leads = (message for message in board.messages() if not isinstance(message, Heartbeat))
    assert isinstance(reply, Reply)
    assert (reply.token, reply.status) == (asked, Status.DONE)
    assert isinstance(facts, BoardFrame)
    assert (facts.board.tick_hz, facts.board.wire_version, facts.lead_count) == (HZ, 1, 14)
    assert [lead.lead.index for lead in leads if isinstance(lead, LeadFrame)] == list(range(14))


def test_the_start_id_is_new_at_each_reset_and_each_board_and_the_serial_stays(new_probe: NewProbe) -> None:
    ids, serials = set(), set()
    for seed in range(4):
        board = new_probe(seed=seed).board
        for _ in range(5):
            board.reset()
            board.run(60)
            facts = [m.board for m in board.messages() if isinstance(m, BoardFrame)]
            ids.add(facts[-1].start_id)
            serials.add(facts[-1].serial)
    assert len(ids) == 20
    assert len(serials) == 4


def test_a_repeated_token_is_answered_again_and_not_done_again(probe: Probe) -> None:
    first = probe.ask(Commands.DRIVE, token=9, lead=DRIVE, level=1)
    probe.ask(Commands.DRIVE, token=10, lead=DRIVE, level=0)
    before = len(levels(probe, DRIVE))
    again = probe.ask(Commands.DRIVE, token=10, lead=DRIVE, level=0)
    assert first.status == again.status == Status.DONE
    assert again.tick == probe.told.replies[-2].tick
    assert len(levels(probe, DRIVE)) == before


def test_nothing_is_recorded_before_start_and_after_stop(probe: Probe) -> None:
    edges = alternate(probe.board.cycle + np.arange(100) * 5 * MS, PIN_OF[SWITCH])
    probe.board.plan(edges)
    probe.run(100)
    assert probe.told.got == 0
    reply = probe.start(leads=1 << SWITCH, level_rate_hz=0)
    probe.run(200)
    told = probe.told.of(SWITCH)
    assert 38 <= told.size <= 42
    assert told["tick"].min() >= reply.tick
    probe.ask(Commands.STOP)
    probe.run(50)
    stopped = probe.told.got
    probe.run(100)
    assert probe.told.got == stopped == probe.told.beats[-1].records_sent
    assert not probe.told.beats[-1].state & STARTED


def test_only_the_leads_asked_for_are_recorded(probe: Probe) -> None:
    probe.start(leads=1 << OUTPUT, level_rate_hz=0)
    start = probe.board.cycle
    for lead in (OUTPUT, SWITCH, 4):
        probe.board.plan(alternate(start + np.arange(1, 20) * 5 * MS, PIN_OF[lead]))
    probe.run(200)
    assert set(probe.told.records["lead"].tolist()) == {OUTPUT}


def test_counters_begin_anew_at_each_start(probe: Probe) -> None:
    for _ in range(2):
        probe.start(leads=1 << SWITCH, level_rate_hz=0)
        probe.told.got = 0
        probe.board.plan(alternate(probe.board.cycle + np.arange(1, 21) * 5 * MS, PIN_OF[SWITCH]))
        probe.run(250)
        assert probe.told.beats[-1].records_sent == probe.told.got == 20


@pytest.mark.parametrize("lead", [DRIVE, SERVO, LAMP])
def test_driven_leads_go_to_rest_at_stop_at_reset_and_after_two_seconds_without_a_host(probe: Probe, lead: int) -> None:
    def is_high() -> bool:
        return bool(levels(probe, lead) and levels(probe, lead)[-1][1])

    probe.start()
    probe.ask(Commands.DRIVE, lead=lead, level=1)
    assert is_high()
    probe.ask(Commands.STOP)
    assert not is_high()
    probe.ask(Commands.DRIVE, lead=lead, level=1)
    alone = probe.board.cycle
    probe.run(1900)
    assert is_high()
    assert not probe.told.beats[-1].state & AT_REST
    probe.run(400)
    assert not is_high()
    let_go = levels(probe, lead)[-1][0]
    assert 1.95 * HZ < let_go - alone < 2.1 * HZ
    probe.run(200)
    assert probe.told.beats[-1].state & (AT_REST | HEARD) == AT_REST
    probe.ask(Commands.DRIVE, lead=lead, level=1)
    probe.board.reset()
    # Released by the reset itself, and never high until the next command.
    assert not probe.board.ram[0x25]
    assert not is_high()
    high = len(levels(probe, lead))
    probe.run(500)
    assert len(levels(probe, lead)) == high


def test_pings_keep_a_driven_lead_up(probe: Probe) -> None:
    probe.ask(Commands.DRIVE, lead=DRIVE, level=1)
    for _ in range(5):
        probe.run(900)
        probe.ask(Commands.PING)
    assert levels(probe, DRIVE) == [(levels(probe, DRIVE)[0][0], 1)]


def test_a_plan_dies_with_its_host(probe: Probe) -> None:
    tick = (probe.board.cycle - probe.began + 3 * HZ) & 0xFFFFFFFF
    assert probe.ask(Commands.DRIVE_AT, lead=DRIVE, level=1, tick=tick).status == Status.DONE
    probe.ask(Commands.SERVO, lead=SERVO, pulse_ns=1_500_000, period_ns=20_000_000)
    probe.run(3500)
    assert not levels(probe, DRIVE)
    pulses = levels(probe, SERVO)
    assert pulses[-1][0] < probe.board.cycle - 1.4 * HZ
    assert pulses[-1][1] == 0


def test_drive_at_happens_at_its_tick_and_is_refused_when_past(probe: Probe) -> None:
    probe.start()
    late = []
    for n in range(20):
        tick = probe.board.cycle - probe.began + 30 * MS + 331 * n
        assert probe.ask(Commands.DRIVE_AT, lead=DRIVE, level=(n + 1) & 1, tick=tick & 0xFFFFFFFF).status == Status.DONE
        probe.run(50)
        late.append(levels(probe, DRIVE)[-1][0] - probe.began - tick)
    assert len(levels(probe, DRIVE)) == 20
    # The main loop looks at the clock: the board's own stamp, not the plan, says when the flip was.
    assert min(late) >= 0
    assert max(late) < 0.5 * MS
    past = (probe.board.cycle - probe.began - 1000) & 0xFFFFFFFF
    assert probe.ask(Commands.DRIVE_AT, lead=DRIVE, level=1, tick=past).status == Status.NOT_NOW


@pytest.mark.parametrize(("pulse_us", "period_us"), [(1500, 20_000), (900, 3_000), (2100, 22_000), (520, 2_400)])
def test_servo_pulses_have_their_width_and_period(probe: Probe, pulse_us: int, period_us: int) -> None:
    probe.start()
    probe.ask(Commands.SERVO, lead=SERVO, pulse_ns=pulse_us * 1000, period_ns=period_us * 1000)
    probe.run(800)
    edges = levels(probe, SERVO)
    rises = np.array([cycle for cycle, level in edges if level])
    falls = np.array([cycle for cycle, level in edges if not level])
    count = min(rises.size, falls.size)
    assert count >= 700_000 // period_us
    # Each edge comes by the timer; another handler may hold it up by 62 ticks.
    assert np.abs(falls[:count] - rises[:count] - pulse_us * 16).max() <= 62
    assert np.abs(np.diff(rises) - period_us * 16).max() <= 62


def test_a_lamp_flashes_for_its_time_and_the_flash_is_told_as_edges(probe: Probe) -> None:
    probe.start()
    probe.ask(Commands.LAMP, lead=LAMP, duration_ms=50)
    probe.run(200)
    (on, one), (off, zero) = levels(probe, LAMP)
    assert (one, zero) == (1, 0)
    assert 49.5 * MS < off - on < 51 * MS
    assert probe.told.of(LAMP)["level"].tolist() == [True, False]


@pytest.mark.parametrize(
    ("command", "fields"),
    [
        (Commands.DRIVE, {"lead": OUTPUT, "level": 1}),
        (Commands.DRIVE, {"lead": DRIVE, "level": 2}),
        (Commands.DRIVE_AT, {"lead": 15, "level": 1, "tick": 0}),
        (Commands.SERVO, {"lead": DRIVE, "pulse_ns": 1_500_000, "period_ns": 20_000_000}),
        (Commands.SERVO, {"lead": SERVO, "pulse_ns": 20_000_000, "period_ns": 20_000_000}),
        (Commands.SERVO, {"lead": SERVO, "pulse_ns": 1_000, "period_ns": 20_000_000}),
        (Commands.SERVO, {"lead": SERVO, "pulse_ns": 1_500_000, "period_ns": 4_000_000_000}),
        (Commands.LAMP, {"lead": SERVO, "duration_ms": 10}),
        (Commands.MUTE, {"lead": DRIVE, "on": 1}),
        (Commands.MUTE, {"lead": SWITCH, "on": 2}),
        (Commands.BAUD, {"rate": 9600}),
        (Commands.BAUD, {"rate": 0}),
    ],
)
def test_wrong_fields_are_refused_and_change_nothing(probe: Probe, command: Commands, fields: dict[str, int]) -> None:
    assert probe.ask(command, **fields).status == Status.WRONG_FIELD
    probe.run(300)
    assert not probe.board.log("driven").size
    assert probe.board.baud == 117_647
    assert probe.told.beats[-1].state & AT_REST


def test_an_unknown_command_and_a_wrong_length_are_answered(probe: Probe) -> None:
    for payload, status in (
        (bytes((77, 5)), Status.UNKNOWN_COMMAND),
        (bytes((Commands.DRIVE, 6, 7)), Status.WRONG_FIELD),
    ):
        probe.board.hear(encode_frame(Kind.COMMAND, 0, payload))
        probe.run(20)
        reply = probe.told.replies[-1]
        assert (reply.command, reply.token, reply.status) == (payload[0], payload[1], status)


def test_junk_is_counted_and_survived(probe: Probe) -> None:
    rng = np.random.default_rng(11)
    ping = pack_command(Commands.PING, 1)
    spoilt = bytes((ping[0], ping[1] ^ 0x40)) + ping[2:]
    for _ in range(5):
        probe.board.hear(spoilt)
        probe.board.hear(b"\0" + ping[:4] + b"\0")
        # Long runs without an end, and of zeros.
        probe.board.hear(rng.integers(1, 256, 400).astype(np.uint8).tobytes() + b"\0" * 9)
        probe.run(60)
    probe.run(150)
    assert 10 <= probe.told.beats[-1].bad_received <= 25
    assert probe.ask(Commands.PING).status == Status.DONE
    probe.board.hear(rng.integers(0, 256, 3000).astype(np.uint8).tobytes())
    probe.run(500)
    assert not probe.board.log("driven").size
    probe.board.hear(b"\0")
    assert probe.ask(Commands.PING).status == Status.DONE


@pytest.mark.parametrize("baud", [250_000, 500_000, 1_000_000])
def test_a_rate_proved_by_a_ping_stays(probe: Probe, baud: int) -> None:
    probe.move_to(baud)
    assert probe.board.baud == baud
    for _ in range(20):
        assert probe.ask(Commands.PING).status == Status.DONE
    probe.run(2500)
    assert probe.board.baud == baud
    assert not probe.told.damage
    probe.move_to(115_200)
    assert probe.board.baud == 117_647


def test_a_rate_without_a_good_ping_is_taken_back_within_a_second(probe: Probe) -> None:
    probe.board.host_baud(115_200)
    assert probe.ask(Commands.BAUD, rate=500_000).status == Status.DONE
    probe.run(50)
    assert probe.board.baud == 500_000
    probe.board.ask(Commands.PING)  # at the old rate: garbage to the board
    probe.run(850)
    assert probe.board.baud == 500_000
    probe.run(250)
    assert probe.board.baud == 117_647
    probe.board.hear(b"\0")
    assert probe.ask(Commands.PING).status == Status.DONE


def test_a_second_change_of_rate_waits_for_the_first(probe: Probe) -> None:
    probe.ask(Commands.BAUD, rate=500_000)
    probe.run(20)
    assert probe.ask(Commands.BAUD, rate=250_000).status == Status.NOT_NOW


def test_no_pin_ever_has_a_pull_up(probe: Probe) -> None:
    probe.start()
    for lead in (DRIVE, SERVO, LAMP):
        probe.ask(Commands.DRIVE, lead=lead, level=1)
    probe.ask(Commands.SERVO, lead=SERVO, pulse_ns=1_500_000, period_ns=20_000_000)
    probe.run(300)
    probe.ask(Commands.STOP)
    probe.board.reset()
    probe.run(100)
    assert probe.board.pull_ups == 0
