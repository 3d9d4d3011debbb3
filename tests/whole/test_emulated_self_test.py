"""The probe's test of itself on the emulated board, with a wire from its drive lead to D2."""

import pytest

from benchapp.desk.probe_tests import kept_test
from benchapp.desk.self_test import self_test
from tests.emulator import build
from tests.emulator.bench import ProbeBench

CYCLE_US = 1 / 16


def test_the_wired_lead_is_recognised_nothing_is_lost_and_its_stamps_are_as_its_descriptor_says(tmp_path):
    build.need_tools()
    told = []
    file = tmp_path / "tests.json"
    with ProbeBench(wire_us=CYCLE_US) as bench:
        found = self_test(
            bench.port, tell=told.append, stop=lambda: bool(told) and bool(told[-1].tested), edges=60, tests_file=file
        )
    (lead,) = found.leads
    assert (lead.label, lead.driven, lead.seen, lead.strays) == ("D2", 60, 60, 0)
    assert lead.keeps_promise
    assert -0.3 < lead.mean_ns / 1000 < 4.75
    assert kept_test(found.serial, file) == found


def test_a_slow_wire_is_found_with_its_slowness(tmp_path):
    build.need_tools()
    told = []
    with ProbeBench(wire_us=20.0) as bench:
        found = self_test(
            bench.port,
            tell=told.append,
            stop=lambda: bool(told) and bool(told[-1].tested),
            edges=40,
            tests_file=tmp_path / "tests.json",
        )
    (lead,) = found.leads
    assert lead.mean_ns == pytest.approx(20_000, abs=1_500)
    assert not lead.keeps_promise
