"""The wiring drawings: drawn by the script, and every figure on their pages follows from the values drawn."""

import html
import re

import pytest

from benchapp.presentation.ground.wording import budget_words
from benchapp.records.run import PickUp
from benchapp.reduction.flips.budget import OPENING, OPENING_MS, PICK_UP_MS
from benchapp.ui.screens.help.browser import help_file
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
    assert "An ordinary buffer or follower without power clamps just like the bare pin" in page("wiring-switch")


def test_a_stick_shifts_by_what_the_pages_say_without_power_at_the_probe():
    pots = (5_000.0, 10_000.0)
    plain, bare, good = (
        [100 * v.stick_shift(pot, ohm) for pot in pots] for ohm in (v.SERIES_OHM, v.BARE_STICK_OHM, v.STICK_OHM)
    )
    assert [round(share) for share in plain] == [7, 11]
    assert "by 7 to 11 % of its supply" in page("build-a-probe")
    assert "by 7 to 11 % through 4.7 kΩ" in page("wiring-stick")
    assert [round(share, 1) for share in bare] == [0.4, 0.8]
    assert "0.4 to 0.8 % through 100 kΩ" in page("wiring-stick")
    assert max(good) < 0.1
    assert "less than 0.1 % of its potentiometer's supply through 1 MΩ" in page("wiring-stick")
    of_travel = [max(shares) / v.TRACK_USED for shares in (good, bare, plain)]
    assert "a third of its track" in page("wiring-stick")
    assert [f"{share:.1f}" for share in of_travel[:2]] == ["0.2", "2.3"]
    assert round(of_travel[2]) == 33
    assert "of the stick's travel: 0.2 %, 2.3 %, 33 %" in page("wiring-stick")
    assert "1 MΩ" in drawing("wiring-stick")
    assert "at the clip" in drawing("wiring-stick")
    leakage_a = 1e-6  # the most an input takes (data sheet of the ATmega328P)
    assert leakage_a * v.BARE_STICK_OHM == pytest.approx(0.1)


def test_a_pulse_of_3_3_volts_clears_the_threshold_by_what_the_page_says():
    margins = sorted(v.margin_v(3.3, supply) for supply in v.USB_V)
    assert margins == [pytest.approx(0.15), pytest.approx(0.30)]
    assert "0.15 to 0.30 V" in page("wiring-output")
    assert v.HIGH_SHARE * v.USB_V[1] == pytest.approx(3.15)


def test_a_receiver_gives_an_unpowered_probe_what_the_page_says():
    taken = [v.slip_ma(volts, v.SERIES_OHM) for volts in (3.3, 5.0)]
    assert [round(value, 1) for value in taken] == [0.6, 0.9]
    assert "0.6 mA from a 3.3 V output and 0.9 mA from one of 5 V" in page("wiring-output")
    assert round(v.slip_ma(v.PACK_V, v.SERIES_OHM), 1) == 1.7
    assert "the plus of an 8.4 V pack costs 1.7 mA" in page("build-a-probe")
    assert "4.7 kΩ before its input" in page("wiring-output")


def test_a_taped_contact_has_its_resistor_next_to_the_pin():
    assert "4.7 kΩ" in drawing("wiring-contact")
    before = v.divided(v.BOARD_V, v.PULL_UP_OHM, v.SERIES_OHM)
    assert before > v.LOW_SHARE * v.BOARD_V
    assert f"would still leave {before:.1f} V" in page("wiring-closed")


def test_a_transistor_adds_next_to_nothing_to_a_time():
    closing_us = v.GATE_OHM * v.GATE_CAPACITY_F * 1e6
    opening_us = (v.CONTACT_PULL_UP_OHM + v.GATE_OHM) * v.GATE_CAPACITY_F * 1e6
    drain_us = v.release_s(v.PULL_UP_OHM, v.DRAIN_CAPACITY_F) * 1e6
    for microseconds in (closing_us, opening_us):
        assert f"about {microseconds:.0f} µs" in page("wiring-switch")
    assert f"about {drain_us:.1f} µs" in page("wiring-switch")
    upper, lower = v.MODULE_DIVIDER_OHM
    assert f"about {upper * lower / (upper + lower) * v.GATE_CAPACITY_F * 1e6:.0f} µs" in page("wiring-module")
    asked = f"on at {v.GATE_OPENS_V:g} V, gate good for ± {v.GATE_STANDS_V:g} V"
    for name in ("wiring-switch", "build-a-probe", "wiring-module"):
        assert asked in page(name)
        assert f"below {v.GATE_CAPACITY_F * 1e12:.0f} pF" in page(name)
    for name in ("wiring-switch", "wiring-buffer"):
        assert "gate ± 20 V, below 100 pF" in drawing(name)


def test_a_module_port_above_5_volts_is_divided_and_still_opens_the_transistor():
    taken = {volts: v.divided(volts, *v.MODULE_DIVIDER_OHM) for volts in (6.0, 8.4, 12.6)}
    assert ", ".join(f"{volts:g} V become {left:.1f} V" for volts, left in taken.items()) in page("wiring-module")
    assert v.divided(v.BOARD_V, *v.MODULE_DIVIDER_OHM) >= v.GATE_OPENS_V
    assert max(taken.values()) < v.GATE_STANDS_V
    assert f"{8.4 / sum(v.MODULE_DIVIDER_OHM) * 1e6:.0f} µA at 8.4 V" in page("wiring-module")


def test_18_volts_stay_below_the_pin_s_limit_and_the_ratio_is_the_page_s():
    upper, lower = v.DIVIDER_OHM
    assert round(v.divided(18.0, upper, lower), 1) == 4.2
    assert round(v.divider_limit_v(upper, lower), 1) == 21.5
    assert (upper + lower) / lower == pytest.approx(4.3)
    assert round(100 * v.divider_doubt(upper, lower, 0.01), 1) == 1.5
    assert round(18.0 / (upper + lower) * 1000, 1) == 0.4
    assert round(v.slip_ma(18.0, upper), 1) == 0.5  # its pin held at the clamp diode's voltage
    assert upper * lower / (upper + lower) < 10_000  # what the converter wants to see (data sheet of the ATmega328P)
    for said in (
        "4.2 V at the pin",
        "21.5 V",
        "times 4.3",
        "1.5 %",
        "0.4 mA at 18 V; 0.5 mA while the probe has no power",
    ):
        assert said in page("wiring-voltage")
    assert "33 kΩ" in drawing("wiring-voltage")


def test_the_coupler_s_lamp_and_the_gate_s_lamp_draw_what_the_pages_say():
    least, most = v.OPTO_OHM
    assert v.lamp_ma(least) < v.PIN_MA
    assert f"{v.lamp_ma(least):.1f} mA in the diode through 2.2 kΩ, {v.lamp_ma(most):.1f} mA through 4.7 kΩ" in page(
        "wiring-drive"
    )
    assert "2.2 to 4.7 kΩ" in drawing("wiring-flip")
    assert "470 kΩ" in drawing("wiring-flip")
    lit, asked = v.lamp_ma(v.GATE_LAMP_OHM, v.FUSE_OHM), v.BOARD_V / v.GATE_PULL_UP_OHM * 1000
    assert f"let {lit:.1f} mA through" in page("wiring-closed")
    assert f"ask {asked:.2f} mA" in page("wiring-closed")
    assert round(lit / asked, -1) == 80  # about a hundredth
    assert round(v.GATE_PULL_UP_OHM / v.PULL_UP_OHM) == 5
    assert "330 Ω" in drawing("wiring-gate")
    assert "47 kΩ" in drawing("wiring-gate")


def test_what_the_coupler_s_opening_adds_is_the_budget_s_line():
    assert f"up to {OPENING_MS:g} ms (common practice, no source)" in page("wiring-drive")
    assert f"“{budget_words(OPENING)}”" in page("wiring-drive")


def test_the_coupler_still_closes_the_contact_with_its_base_resistor():
    pulled, asked = v.coupler_ma(v.OPTO_OHM[1]), v.CONTACT_V / v.CONTACT_PULL_UP_OHM * 1000
    assert pulled > 1.5 * asked
    assert f"at least {pulled:.2f} mA; a 3.3 V contact with 40 kΩ asks {asked:.2f} mA" in page("wiring-drive")


def test_only_light_crosses_is_said_with_its_condition():
    for said in (page("wiring-drive"), drawing("wiring-flip")):
        for sentence in re.findall(r"[^.>]*[Oo]nly light crosses[^.<]*", said):
            assert "tap on D2 is off" in sentence
    assert "Only light crosses" in drawing("wiring-flip")


def test_the_horn_s_potentiometer_draws_half_a_milliampere_and_loses_a_hundredth_at_its_end():
    track = 10_000.0
    assert v.BOARD_V / (track + v.FUSE_OHM) * 1000 == pytest.approx(0.5, abs=0.01)
    assert 100 * v.FUSE_OHM / (track + v.FUSE_OHM) == pytest.approx(1.0, abs=0.02)
    assert "half a milliampere" in page("wiring-horn")
    assert "take 1 % off the upper end" in page("wiring-horn")


@pytest.mark.parametrize("lead", ["horn", "gate", "stick", "current"])
def test_no_bare_5_volts_leave_the_board(lead):
    assert f"{v.FUSE_OHM:g} Ω" in drawing(f"wiring-{lead}")
    assert "goes through 100 Ω" in page("build-a-probe")
    short_ma = v.BOARD_V / v.FUSE_OHM * 1000
    assert f"{short_ma:.0f} mA" in page("wiring-horn")
    assert f"{short_ma:.0f} mA" in page("wiring-closed")


def test_either_shunt_fills_the_lead_at_one_limit_and_its_heat_is_right_for_a_stall():
    text = page("wiring-current")
    (shunt, _, watts), (low_shunt, _, low_watts) = v.SHUNTS
    for ohm, gain, _ in v.SHUNTS:
        assert v.BOARD_V / (ohm * gain) == pytest.approx(2.5)
        assert f"{ohm:g} Ω, gain {gain:g}" in text
    assert "Up to 2.5 A with either shunt: 2 V for each ampere" in text
    assert f"{2.5 * shunt:.2f} V and {2.5**2 * shunt + 0.001:.2f} W at 2.5 A. A stall of 5 A makes 2.5 W" in text
    assert v.STALL_A**2 * shunt == pytest.approx(2.5)
    assert watts < v.STALL_A**2 * shunt
    assert "2 W are not enough for that" in text
    assert f"{2.5 * low_shunt:.2f} V and {2.5**2 * low_shunt + 0.001:.2f} W at 2.5 A, 0.5 W at 5 A, 2 W at 10 A" in text
    assert [round(amps**2 * low_shunt, 1) for amps in (5, 10)] == [0.5, 2.0]
    assert low_watts >= 1.5 * 10**2 * low_shunt
    assert f"take {low_watts:g} W" in text
    assert 1e-4 / low_shunt * 1000 == pytest.approx(5.0)
    assert "0.1 or 0.02 Ω" in drawing("wiring-current")
    assert "gain 20 or 100" in drawing("wiring-current")


def test_servo_pulses_never_go_into_a_speed_controller():
    series, down = v.SERVO_OHM
    assert f"{v.divided(v.BOARD_V, series, down):.1f} V at the servo" in page("wiring-servo")
    assert f"{v.slip_ma(v.PACK_V, series):.1f} mA" in page("wiring-servo")
    assert "Never into a speed controller" in drawing("wiring-servo")
    assert page("wiring-servo").count("into a speed controller") == 2


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
    whole = ("100 Ω", "330 Ω", "1 kΩ", "4.7 kΩ", "10 kΩ", "33 kΩ", "47 kΩ", "100 kΩ", "470 kΩ", "1 MΩ", "0.02 Ω")
    assert values == set(whole)
    for value in values:
        assert value in listed


def test_what_was_connected_is_taken_apart_the_other_way_round():
    together, apart = (
        re.findall(r'font-weight="bold">([a-zU][^<]+)<', drawing(f"wiring-{way}")) for way in ("order", "apart")
    )
    taken = [step for step in reversed(together) if step in apart]
    assert taken == ["receiver", "transmitter", "USB", "leads", "ground"]
    assert [step for step in apart if step in together] == taken
    assert "taken apart the other way round" in page("build-a-probe")


def test_what_parts_the_grounds_is_named():
    assert "USB isolator" in page("build-a-probe")
    assert "USB isolator" in page("leads")
