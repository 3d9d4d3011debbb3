"""What a probe found about itself stays with its leads; one that was not tested is described as it always was."""

from dataclasses import replace

import pytest

from benchapp.records.leads import Board, ClockKind, Lead, LeadKind, Stretch
from benchapp.sessions.exchange.vcd import read_vcd
from benchapp.sessions.exchange.vcd_text import write_vcd
from benchapp.sessions.texts import BadText, descriptors_text, stretch_from
from tests.sessions.test_exchange_round_trip import DESCRIPTOR, NOTES, capture_of, edge_lead

LEAD = Lead(index=1, label="D2", kind=LeadKind.EDGE, resolution_ns=62.5)
TESTED = replace(LEAD, tested_mean_ns=401.5, tested_sd_ns=253.0)
BOARD = Board(
    wire_version=1,
    start_id=1,
    tick_hz=16_000_000,
    tick_bits=32,
    clock_kind=ClockKind.RESONATOR,
    tolerance_ppm=5000.0,
    serial="S",
)


def stretch(lead: Lead) -> Stretch:
    return Stretch(number=1, board=BOARD, leads=(lead,), origin_tick=5, origin_ns=0)


@pytest.mark.parametrize("lead", [LEAD, TESTED, replace(TESTED, tested_mean_ns=400)])
def test_a_stretch_comes_back_with_and_without_what_was_found(lead):
    text = descriptors_text(stretch(lead))
    assert stretch_from(1, 5, 0, text) == stretch(lead)
    assert ("tested" in text) == (lead is not LEAD)


@pytest.mark.parametrize("value", ['"1"', "true", "1e400", "[1]"])
def test_what_was_found_is_a_number_or_the_session_is_refused(value):
    text = descriptors_text(stretch(TESTED)).replace("401.5", value)
    with pytest.raises(BadText):
        stretch_from(1, 5, 0, text)


def test_an_export_carries_it_and_an_import_brings_it_back():
    described = replace(DESCRIPTOR, tested_mean_ns=401.5, tested_sd_ns=253.0)
    data = b"".join(write_vcd(capture_of(edge_lead("switch", [(100, 1)], described=described), notes=NOTES)))
    assert read_vcd(data, file="a.vcd").leads[0].described == described
