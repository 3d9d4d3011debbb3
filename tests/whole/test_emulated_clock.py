"""The clock check on the emulated board, whose clock is the computer's own."""

from benchapp.desk.clock_check import check_clock
from tests.emulator import build
from tests.emulator.bench import ProbeBench


def test_the_emulated_clock_agrees_with_the_computer_within_the_uncertainty():
    build.need_tools()
    with ProbeBench() as bench:
        found = check_clock(bench.port, seconds=8)
    assert found.heartbeats >= 75
    assert abs(found.error_ppm) <= found.expanded_ppm
    assert found.tolerance_ppm == 5000
    assert found.inside
