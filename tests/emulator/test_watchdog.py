"""Whatever stops the loop that guards the drives, a driven lead goes to rest; and nothing else resets the board."""

import numpy as np
import pytest

from benchapp.probe.messages import BoardFrame
from benchapp.probe.wire import Commands
from tests.emulator.conftest import NewProbe
from tests.emulator.emulated import HZ, MS
from tests.emulator.truth import DRIVE, LAMP, LEVELS, PIN_OF, SERVO, SWITCH, Probe, alternate, even_load

HANGS = ("FAULT_HANGS", "FAULT_HANGS_DEAF", "FAULT_CLOCK_STOPS")
# The watchdog's 0.128 s, and a quarter for what its oscillator may be off (a tenth by its data sheet, from memory).
AT_REST_WITHIN = 0.16 * HZ


def check_a_hang_ends_at_rest(probe: Probe, lead: int = DRIVE) -> None:
    """The ping that stops the loop is followed by rest, a reset, and a probe that goes on; nothing drives it anew."""
    probe.start()
    probe.ask(Commands.DRIVE, lead=lead, level=1)
    assert probe.happened(lead)["level"].tolist() == [1]
    probe.board.ask(Commands.PING)
    hung = probe.board.cycle
    ids = []
    for _ in range(300):
        probe.board.run(10)
        ids += [m.board.start_id for m in probe.board.messages() if isinstance(m, BoardFrame)]
    edges = probe.happened(lead)
    assert edges["level"].tolist() == [1, 0]
    assert edges["cycle"][-1] - hung < AT_REST_WITHIN
    assert len(ids) == 1, "it starts anew, once, and says so"


@pytest.mark.parametrize("fault", HANGS)
@pytest.mark.parametrize("lead", [DRIVE, SERVO, LAMP])
def test_a_driven_lead_rests_when_the_program_hangs(new_probe: NewProbe, fault: str, lead: int) -> None:
    check_a_hang_ends_at_rest(new_probe(fault), lead)


@pytest.mark.parametrize("fault", HANGS)
def test_without_the_watchdog_the_hang_would_keep_the_contact_closed(new_probe: NewProbe, fault: str) -> None:
    probe = new_probe(fault, "FAULT_NO_WATCHDOG")
    with pytest.raises(AssertionError):
        check_a_hang_ends_at_rest(probe)
    assert probe.happened(DRIVE)["level"].tolist() == [1], "it stays driven, long after the host has gone"


def test_servo_pulses_end_too(new_probe: NewProbe) -> None:
    probe = new_probe("FAULT_HANGS")
    probe.ask(Commands.SERVO, lead=SERVO, pulse_ns=1_500_000, period_ns=20_000_000)
    probe.run(100)
    probe.board.ask(Commands.PING)
    hung = probe.board.cycle
    probe.board.run(3000)
    last = probe.happened(SERVO)[-1]
    assert last["level"] == 0
    assert last["cycle"] - hung < AT_REST_WITHIN


@pytest.mark.parametrize("patience", ["WDTO_120MS", "WDTO_30MS"])
@pytest.mark.parametrize("storm", ["a bench at 10,000 edges a second", "edges every 40 ticks on four pins", "before"])
def test_a_busy_loop_is_not_taken_for_a_hanging_one(new_probe: NewProbe, storm: str, patience: str) -> None:
    probe = new_probe(f"WATCHDOG_PATIENCE={patience}")
    first = probe.board.cycle + (MS if storm == "before" else 25 * MS)
    if storm.startswith("a bench"):
        probe.board.plan(even_load(np.random.default_rng(5), first, 1500, 10_000))
    else:
        steps = np.arange(300 * MS // 40) * 40
        pins = (8, PIN_OF[SWITCH], 3, 4)
        probe.board.plan(np.concatenate([alternate(first + steps + 7 * n, pin) for n, pin in enumerate(pins)]))
    probe.run(2 if storm == "before" else 0)
    probe.start()
    probe.run(1700)
    assert probe.ask(Commands.PING).status == 0
    beats = [beat.tick for beat in probe.told.beats]
    assert (np.diff(beats) > 0).all(), "the counter went on: no reset"
    assert sum(samples.lead in LEVELS for samples in probe.told.levels) > 50


def test_the_watchdog_is_set_before_the_start_takes_its_time(probe: Probe) -> None:
    """After a reset of its own the chip's watchdog runs on at 16 ms (data sheet), and mixing the start id takes 13."""
    watchdog_control, flags, reset_by_line = 0x60, 0x54, 2
    probe.board.reset()
    assert probe.board.ram[flags] == reset_by_line
    probe.board.run(0.1)
    enabled, patience_120_ms = 0x08, 0x03
    assert probe.board.ram[watchdog_control] == enabled | patience_120_ms
    # Else the reset line would not switch it off, and a boot loader that does not know it would never get to its end.
    assert probe.board.ram[flags] == 0
