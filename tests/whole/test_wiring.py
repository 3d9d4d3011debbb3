"""The wiring drawings: drawn by the script, and every figure on their pages follows from the values drawn."""

import html
import re

import pytest

from benchapp.records.run import PickUp
from benchapp.reduction.budget import PICK_UP_MS
from benchapp.ui.help.browser import help_file
from tests.whole import make_help_drawings, make_wiring
from tests.whole import wiring_values as v

DRAWN = {**make_wiring.DRAWINGS, **make_help_drawings.DRAWINGS}


def page(name: str) -> str:
    """Return a page's words on one line."""
    text = help_file(f"{name}.html").read_text(encoding="utf-8")
    return " ".join(html.unescape(re.sub(r"</td>", " ", re.sub(r"<(?!/td)[^>]+>", "", text))).split())


def drawing(name: str) -> str:
    return help_file(f"{name}.svg").read_text(encoding="utf-8")


@pytest.mark.parametrize("name", DRAWN)
def test_a_drawing_is_what_its_script_draws(name):
    assert drawing(name) == DRAWN[name]()


def test_an_unpowered_probe_behind_a_plain_resistor_would_throw_the_switch():
    fallen = v.clamped_v(v.CONTACT_V, v.CONTACT_PULL_UP_OHM, v.SERIES_OHM)
    assert fallen == pytest.approx(0.884, abs=5e-4)
    for name in ("build-a-probe", "wiring-switch", "leads"):
        assert f"{fallen:.2f} V" in page(name)


def test_a_stick_shifts_by_what_the_pages_say_without_power_at_the_probe():
    pots = (5_000.0, 10_000.0)
    plain = [100 * v.stick_shift(pot, v.SERIES_OHM) for pot in pots]
    assert [round(share) for share in plain] == [7, 11]
    assert "7 to 11 %" in page("build-a-probe")
    bare = [100 * v.stick_shift(pot, v.BARE_STICK_OHM) for pot in pots]
    assert [round(share, 1) for share in bare] == [0.4, 0.8]
    assert "0.4 to 0.8 % through 100 kΩ" in page("wiring-stick")
    assert max(100 * v.stick_shift(pot, v.STICK_OHM) for pot in pots) < 0.1
    assert "less than 0.1 % of its travel through 1 MΩ" in page("wiring-stick")
    assert "1 MΩ" in drawing("wiring-stick")
    leakage_a = 1e-6  # the most an input takes (data sheet of the ATmega328P)
    assert leakage_a * v.BARE_STICK_OHM == pytest.approx(0.1)


def test_a_pulse_of_3_3_volts_clears_the_threshold_by_what_the_page_says():
    margins = sorted(v.margin_v(3.3, supply) for supply in v.USB_V)
    assert margins == [pytest.approx(0.15), pytest.approx(0.30)]
    assert "0.15 to 0.30 V" in page("wiring-output")
    assert v.HIGH_SHARE * v.USB_V[1] == pytest.approx(3.15)


def test_a_receiver_gives_an_unpowered_probe_half_a_milliampere_at_most():
    milliampere = (3.3 - v.CLAMP_V) / v.SERIES_OHM * 1000
    assert 0.5 < milliampere < 0.6
    assert "half a milliampere" in page("wiring-output")


def test_a_transistor_adds_next_to_nothing_to_a_time():
    gate_us, drain_us = v.GATE_OHM * v.GATE_CAPACITY_F * 1e6, v.release_s(v.PULL_UP_OHM, v.DRAIN_CAPACITY_F) * 1e6
    assert round(gate_us, 1) == 0.6
    assert round(drain_us, 1) == 0.5
    assert "about 0.6 µs" in page("wiring-switch")
    assert "about 0.5 µs" in page("wiring-switch")
    upper, lower = v.MODULE_DIVIDER_OHM
    assert round(upper * lower / (upper + lower) * v.GATE_CAPACITY_F * 1e6) == 2
    assert "about 2 µs" in page("wiring-module")


def test_a_module_port_above_5_volts_is_divided_and_still_opens_the_transistor():
    taken = {volts: v.divided(volts, *v.MODULE_DIVIDER_OHM) for volts in (8.4, 12.6)}
    assert round(taken[8.4], 1) == 2.7
    assert round(taken[12.6], 1) == 4.0
    assert min(taken.values()) > 2.5  # the kind asked for is fully on at 2.5 V
    assert max(taken.values()) < v.BOARD_V
    assert "8.4 V become 2.7 V, 12.6 V become 4.0 V" in page("wiring-module")
    assert round(8.4 / sum(v.MODULE_DIVIDER_OHM) * 1e6) == 57
    assert "57 µA at 8.4 V" in page("wiring-module")


def test_18_volts_stay_below_the_pin_s_limit_and_the_ratio_is_the_page_s():
    upper, lower = v.DIVIDER_OHM
    assert round(v.divided(18.0, upper, lower), 1) == 4.2
    assert round(v.divider_limit_v(upper, lower), 1) == 21.5
    assert (upper + lower) / lower == pytest.approx(4.3)
    assert round(100 * v.divider_doubt(upper, lower, 0.01), 1) == 1.5
    assert round(18.0 / (upper + lower) * 1000, 1) == 0.4
    assert upper * lower / (upper + lower) < 10_000  # what the converter wants to see (data sheet of the ATmega328P)
    for said in ("4.2 V at the pin", "21.5 V", "times 4.3", "1.5 %", "0.4 mA at 18 V"):
        assert said in page("wiring-voltage")
    assert "33 kΩ" in drawing("wiring-voltage")


def test_the_coupler_s_lamp_and_the_gate_s_lamp_draw_what_the_pages_say():
    assert round(v.lamp_ma(v.OPTO_OHM), 1) == 8.1
    assert v.lamp_ma(v.OPTO_OHM) < v.PIN_MA
    assert "8.1 mA" in page("wiring-drive")
    assert "470 Ω" in drawing("wiring-flip")
    assert round(v.lamp_ma(v.GATE_LAMP_OHM), 1) == 11.5
    assert "11.5 mA" in page("wiring-closed")
    assert "330 Ω" in drawing("wiring-gate")


def test_the_shunt_fills_the_lead_at_its_limit_and_stays_cool():
    limit_a = v.BOARD_V / (v.SHUNT_OHM * v.SHUNT_GAIN)
    assert limit_a == pytest.approx(2.5)
    assert limit_a * v.SHUNT_OHM == pytest.approx(0.25)
    assert round(limit_a**2 * v.SHUNT_OHM + 0.001, 2) == 0.63
    assert "Up to 2.5 A" in page("wiring-current")
    assert "0.63 W" in page("wiring-current")
    assert "0.1 Ω, 2 W" in drawing("wiring-current")


def test_three_millimetres_beside_the_click_are_the_five_milliseconds_of_the_budget():
    assert v.lever_ms(3.0, 600.0) == pytest.approx(5.0)
    assert PICK_UP_MS[PickUp.TAPED] == PICK_UP_MS[PickUp.LIGHT_GATE] == 5.0
    for name in ("closed", "wiring-closed"):
        assert "5 ms" in page(name)
        assert "common practice, no source" in page(name)


def test_the_pins_drawn_are_the_pins_of_the_board_s_program():
    board = (help_file("").parent / "probe" / "board.h").read_text(encoding="utf-8")
    for role, pin in (
        ("OUTPUT", "D8"),
        ("SWITCH", "D2"),
        ("MODULE", "D3"),
        ("DRIVE", "D9"),
        ("SERVO", "D10"),
        ("LAMP", "D13"),
    ):
        assert re.search(rf"LEAD_{role} +\d+ +/\* {pin}\b", board), role
        assert f">{pin}<" in drawing("wiring-board")
    assert re.search(r"LEAD_LEVEL 8 +/\* A0 to A3", board)
    for pin in ("A0", "A1", "A2", "A3"):
        assert f">{pin}<" in drawing("wiring-board")


def test_every_part_that_is_drawn_is_on_the_list():
    listed = page("build-a-probe")
    values = set(re.findall(r"\d+(?:\.\d+)? (?:kΩ|MΩ|Ω)", "".join(drawing(name) for name in make_wiring.DRAWINGS)))
    assert values == {"330 Ω", "470 Ω", "1 kΩ", "4.7 kΩ", "10 kΩ", "33 kΩ", "47 kΩ", "100 kΩ", "1 MΩ", "0.1 Ω"}
    for value in values:
        assert value in listed
