"""Figures of sweeps and holds: plain shapes, legible, inside their sheet, up and down told apart without colour."""

import re
import xml.etree.ElementTree as ET
from dataclasses import replace

import numpy as np
import pytest

from benchapp.presentation.ground.canvas import text_width_px
from benchapp.presentation.ground.page import PRACTICE_MARK, Figure
from benchapp.presentation.hold.hold import hold
from benchapp.presentation.sweep.deviation import deviation
from benchapp.presentation.sweep.staircase import staircase
from benchapp.presentation.sweep.transfer import transfer
from benchapp.records.sweep_findings import Linearity, Steadiness
from tests.presentation import stick_builders as sticks
from tests.presentation.page_reading import svg_texts
from tests.presentation.test_figures import ALLOWED, SVG

SWEEPS = {
    "usual": {},
    "reversed": {"low_us": 1900.0, "high_us": 1100.0},
    "clipped": {"clip_us": (1160.0, 1840.0)},
    "fine steps": {"step_us": 0.05, "tick_ns": 5.0},
    "coarse": {"step_us": 8.0},
    "one cycle": {"cycles": 1},
}


def figures_of(name: str, *, practice: bool = False) -> list[Figure]:
    if name == "hold":
        drawn = [hold(sticks.hold().result, practice=practice)]
    elif name == "stops":
        found = sticks.stops().result
        drawn = [transfer(found, practice=practice), deviation(found, practice=practice)]
    else:
        found = sticks.sweep(**SWEEPS[name]).result
        drawn = [make(found, practice=practice) for make in (transfer, deviation, staircase)]
    assert all(drawn), name
    return [figure for figure in drawn if figure]


@pytest.mark.parametrize("name", [*SWEEPS, "stops", "hold"])
def test_a_figure_is_plain_legible_and_inside_its_sheet(name: str) -> None:
    for figure in figures_of(name, practice=True):
        root = ET.fromstring(figure.svg)
        assert {element.tag for element in root.iter()} <= ALLOWED
        assert figure.alt.endswith(".")
        assert figure.caption.endswith(".")
        assert PRACTICE_MARK in svg_texts(figure.svg)
        for element in root.iter():
            xs = [float(element.attrib[key]) for key in ("x1", "x2", "cx") if key in element.attrib]
            ys = [float(element.attrib[key]) for key in ("y1", "y2", "cy") if key in element.attrib]
            pairs = re.findall(r"[M ]?(-?[\d.]+),(-?[\d.]+)", element.get("points", "") + element.get("d", ""))
            xs += [float(x) for x, _ in pairs]
            ys += [float(y) for _, y in pairs]
            assert all(0 <= x <= figure.width for x in xs), figure.key
            assert all(0 <= y <= figure.height for y in ys), figure.key
        for element in root.iter(f"{SVG}text"):
            size = float(element.attrib["font-size"])
            assert size >= 11
            width = text_width_px(element.text or "", size, bold="font-weight" in element.attrib)
            x, anchor = float(element.attrib["x"]), element.attrib["text-anchor"]
            left = x - {"start": 0.0, "middle": width / 2, "end": width}[anchor]
            assert 0 <= left <= left + width <= figure.width, element.text


def test_practice_stands_on_practice_alone() -> None:
    for name in ("usual", "hold"):
        assert all(PRACTICE_MARK not in figure.svg for figure in figures_of(name))


@pytest.mark.parametrize(("name", "unit"), [("usual", "V"), ("stops", "°")])
def test_axes_carry_their_units(name: str, unit: str) -> None:
    for figure in figures_of(name):
        said = svg_texts(figure.svg)
        assert f"Stick ({unit})" in said
        assert any(text.endswith("(µs)") for text in said)


def test_every_position_is_drawn_up_and_down_in_two_shapes() -> None:
    found = sticks.sweep().result
    for make in (transfer, deviation):
        figure = make(found, practice=False)
        rings = figure.svg.count('fill="#FFFFFF" stroke=')
        dots = figure.svg.count("<circle")
        assert (dots, rings) == (2 * 51 + 2, 51 + 1)
        assert {"coming up", "going down"} <= set(svg_texts(figure.svg))


def test_the_band_is_as_high_as_the_straightness_says() -> None:
    found = sticks.sweep().result
    figure = deviation(found, practice=False)
    half = found.lines["independent"].deviation_us
    band = re.search(r'height="([\d.]+)" fill="#332288" fill-opacity', figure.svg)
    ticks = [text for text in svg_texts(figure.svg) if re.fullmatch(r"[−\d.]+", text)]
    lines = re.findall(r'<line x1="57" y1="([\d.]+)"', figure.svg)
    values = [float(text.replace("−", "-")) for text in ticks[: len(lines)]]
    px_a_us = abs(float(lines[-1]) - float(lines[0])) / abs(values[-1] - values[0])
    assert float(band[1]) == pytest.approx(2 * half * px_a_us, rel=0.01)


def test_where_lag_and_hysteresis_are_not_told_apart_up_and_down_are_not_drawn_apart() -> None:
    found = sticks.sweep(cycles=1).result
    for make in (transfer, deviation):
        figure = make(found, practice=False)
        assert figure.svg.count("<circle") == 51 + 1
        assert 'fill="#FFFFFF" stroke=' not in figure.svg
        assert "not told apart" in figure.caption
        assert "coming up" not in figure.svg
    assert "says nothing" in staircase(found, practice=False).caption
    assert "says nothing" not in staircase(sticks.sweep().result, practice=False).caption


def test_an_end_that_is_not_the_stick_s_is_said_in_words() -> None:
    (curve, *_) = figures_of("clipped")
    assert svg_texts(curve.svg).count("the pulse stops here") == 2
    (curve, *_) = figures_of("usual")
    assert "stops here" not in curve.svg


def test_steps_are_drawn_where_they_can_be_seen_and_bracketed_at_their_height() -> None:
    (*_, stairs) = figures_of("coarse")
    assert "8.00 µs" in svg_texts(stairs.svg)
    assert "steps, 8.00" in stairs.caption.replace("\u00a0", " ")
    found = sticks.sweep().result
    assert "steps" not in staircase(replace(found, step_us=None), practice=False).caption


def test_a_hold_s_bars_hold_every_value_and_its_strip_every_pulse_that_can_be_told_apart() -> None:
    found = sticks.hold().result
    figure = hold(found, practice=False)
    bars = figure.svg.count('fill-opacity="0.75"')
    assert bars == found.values.count
    marks = re.search(r'<path d="([^"]+)"', figure.svg)[1].count("M")
    assert 0.2 * found.pulses < marks <= found.pulses


def test_a_long_hold_stays_a_small_drawing() -> None:
    rng = np.random.default_rng(1)
    found = sticks.hold().result
    n = 200_000
    long = replace(found, pulses=n, at_s=np.arange(n) * 0.003, off_us=rng.normal(0, 1.0, n))
    assert len(hold(long, practice=False).svg) < 1_000_000


def test_positions_of_a_hold_are_parted_and_numbered() -> None:
    found = sticks.hold().result
    (one,) = found.positions
    middle_ns = (one.from_ns + one.to_ns) // 2
    two = replace(found, positions=(replace(one, to_ns=middle_ns), replace(one, from_ns=middle_ns)))
    said = svg_texts(hold(two, practice=False).svg)
    assert {"position 1", "position 2", "Away from its middle (µs)"} <= set(said)


def test_without_findings_nothing_is_drawn() -> None:
    bare = Linearity(against="stick-voltage", x_unit="V", cycles=0, positions=0)
    assert [make(bare, practice=True) for make in (transfer, deviation, staircase)] == [None] * 3
    assert hold(Steadiness(pulses=0, held_s=1.0), practice=True) is None
