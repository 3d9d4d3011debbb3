"""The tests of the truth notice faults: each of these programs, spoilt on purpose, fails one of them."""

import numpy as np
import pytest

from tests.emulator.conftest import NewProbe
from tests.emulator.emulated import MS
from tests.emulator.test_rates import check_overload_is_shared
from tests.emulator.truth import OUTPUT, PIN_OF, SWITCH, Probe, alternate, bench_load, check_stamps


def check_around_turns(probe: Probe) -> None:
    """Edges that come with a turn of the timer are in time."""
    probe.start(level_rate_hz=0)
    first = probe.board.turned + 3 * (1 << 16)
    offsets = np.arange(-60, 100)
    probe.board.plan(alternate(first + np.arange(offsets.size) * (1 << 16) + offsets, PIN_OF[SWITCH]))
    probe.run((offsets.size + 10) * (1 << 16) / MS)
    check_stamps(probe, [SWITCH])


def check_bench(probe: Probe) -> None:
    """The bench is told in time at 500,000."""
    probe.move_to(500_000)
    probe.start()
    probe.board.plan(bench_load(np.random.default_rng(1), probe.board.cycle + 5 * MS, 2000))
    probe.run(2200)
    check_stamps(probe)


def check_output(probe: Probe) -> None:
    """Servo pulses are told whole."""
    probe.start(leads=1 << OUTPUT, level_rate_hz=0)
    probe.board.plan(alternate(probe.board.cycle + np.arange(1, 41) * 3 * MS, PIN_OF[OUTPUT]))
    probe.run(200)
    check_stamps(probe, [OUTPUT])


CHECKS = {
    "FAULT_NO_OVERFLOW_TEST": check_around_turns,
    "FAULT_INTERRUPT_TRANSMIT": check_bench,
    "FAULT_EDGES_FIRST": check_overload_is_shared,
    "FAULT_NO_EDGE_TOGGLE": check_output,
}


@pytest.mark.parametrize("fault", CHECKS)
def test_a_seeded_fault_is_found(new_probe: NewProbe, fault: str) -> None:
    CHECKS[fault](new_probe())
    spoilt = new_probe(fault)
    with pytest.raises(AssertionError):
        CHECKS[fault](spoilt)
