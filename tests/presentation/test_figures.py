"""The drawings: inside their sheet, readable, and only what every renderer draws alike."""

import re
import xml.etree.ElementTree as ET
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from benchapp.presentation.flips.distribution import distribution
from benchapp.presentation.flips.dots import dots
from benchapp.presentation.flips.histogram import bar_counts, bar_width_ms, histogram
from benchapp.presentation.flips.phase_strip import phase_strip
from benchapp.presentation.flips.trains import trains, typical_trial
from benchapp.presentation.ground.axes import axis, nice_step, round_down, step_places
from benchapp.presentation.ground.canvas import Canvas, text_width_px
from benchapp.presentation.ground.page import PRACTICE_MARK, Figure
from benchapp.records.findings import Latency
from benchapp.records.stream import Gap
from tests.presentation import builders
from tests.presentation.page_reading import svg_texts

SVG = "{http://www.w3.org/2000/svg}"
ALLOWED = {f"{SVG}{name}" for name in ("svg", "rect", "line", "polyline", "path", "circle", "text")}


def all_figures(latency: Latency, *, practice: bool = False, level_lead: bool = True) -> list[Figure]:
    delays = [trial.mid_ms for trial in latency.trials]
    evidence = builders.evidence_for(latency, level_lead=level_lead)
    drawn = [
        dots(latency, practice=practice),
        histogram(delays, practice=practice),
        distribution(delays, latency.points["mid"], practice=practice),
        phase_strip(latency, frame_ms=22.5, practice=practice),
        trains(evidence, typical_trial(latency), frame_ms=22.5, pulse="high", practice=practice),
    ]
    assert all(figure is not None for figure in drawn)
    return [figure for figure in drawn if figure is not None]


def test_figures_use_only_plain_shapes_and_point_nowhere() -> None:
    for figure in all_figures(builders.latency()):
        root = ET.fromstring(figure.svg)
        assert {element.tag for element in root.iter()} <= ALLOWED
        for element in root.iter():
            assert not {"class", "style", "href", "onload", "transform"} & set(element.attrib)
        assert "url(" not in figure.svg
        assert figure.alt
        assert figure.caption.endswith(".")


def test_every_text_is_large_enough_and_inside_its_sheet() -> None:
    for figure in all_figures(builders.latency(), practice=True):
        for element in ET.fromstring(figure.svg).iter(f"{SVG}text"):
            size = float(element.attrib["font-size"])
            assert size >= 11
            width = text_width_px(element.text or "", size, bold="font-weight" in element.attrib)
            x, anchor = float(element.attrib["x"]), element.attrib["text-anchor"]
            left = x - {"start": 0.0, "middle": width / 2, "end": width}[anchor]
            assert left >= 0
            assert left + width <= figure.width
            assert size * 0.8 <= float(element.attrib["y"]) <= figure.height - 2


def test_every_shape_is_inside_its_sheet() -> None:
    latency = builders.latency(20, ("no-answer",) * 3)
    for figure in all_figures(latency):
        for element in ET.fromstring(figure.svg).iter():
            numbers = element.attrib
            xs = [float(numbers[name]) for name in ("x1", "x2", "cx") if name in numbers]
            ys = [float(numbers[name]) for name in ("y1", "y2", "cy") if name in numbers]
            for point in numbers.get("points", "").split():
                x, y = point.split(",")
                xs.append(float(x))
                ys.append(float(y))
            if element.tag == f"{SVG}rect":
                xs += [float(numbers["x"]), float(numbers["x"]) + float(numbers["width"])]
                ys += [float(numbers["y"]), float(numbers["y"]) + float(numbers["height"])]
            assert all(0 <= x <= figure.width for x in xs)
            assert all(0 <= y <= figure.height for y in ys)


def test_practice_stands_on_every_drawing_and_only_there() -> None:
    for figure in all_figures(builders.latency(), practice=True):
        assert PRACTICE_MARK in svg_texts(figure.svg)
    for figure in all_figures(builders.latency()):
        assert PRACTICE_MARK not in figure.svg


def test_axis_titles_carry_a_unit() -> None:
    for figure in all_figures(builders.latency()):
        titles = [text for text in svg_texts(figure.svg) if re.search(r"\((ms|s|min|count|no\.|% .*|%)\)$", text)]
        assert len(titles) >= (1 if figure.key == "trains" else 2), figure.key


def test_every_flip_is_a_dot_and_every_flip_left_out_a_cross() -> None:
    figure = dots(builders.latency(58, ("no-answer", "paused", "dropped")), practice=False)
    assert figure is not None
    key_dots = 2
    assert figure.svg.count("<circle") == 58 + key_dots
    assert figure.svg.count('stroke-width="1.6"') == 2 * 3


def test_up_and_down_differ_in_shape_not_only_in_colour() -> None:
    figure = dots(builders.latency(10, ()), practice=False)
    assert figure is not None
    assert figure.svg.count('r="3.1" fill="#FFFFFF"') == 5 + 1


def test_the_distribution_shows_every_flip() -> None:
    latency = builders.latency(33, ())
    figure = distribution([t.mid_ms for t in latency.trials], latency.points["mid"], practice=False)
    assert figure is not None
    assert figure.svg.count("<circle") == 33


@given(st.lists(st.floats(min_value=1, max_value=400), min_size=2, max_size=120))
@settings(max_examples=60)
def test_the_bars_hold_every_flip_once(delays: list[float]) -> None:
    width = bar_width_ms(delays)
    counts = bar_counts(delays, width)
    assert sum(counts.values()) == len(delays)
    assert max(counts) - min(counts) + 1 <= 130
    assert histogram(delays, practice=False) is not None


def test_fewer_than_two_flips_draw_no_bars_and_no_steps() -> None:
    assert histogram([], practice=False) is None
    assert histogram([20.0], practice=False) is None
    assert distribution([20.0], builders.summary([20.0]), practice=False) is None
    assert dots(builders.latency(0, ("no-answer",)), practice=False) is None


def test_a_flip_without_a_phase_is_not_drawn_on_the_strip() -> None:
    latency = builders.latency(3, ())
    bare = replace(latency, trials=tuple(replace(t, phase=None) for t in latency.trials))
    assert phase_strip(bare, frame_ms=22.5, practice=False) is None
    unknown = phase_strip(latency, frame_ms=None, practice=False)
    assert unknown is not None
    assert any("% of a frame" in text for text in svg_texts(unknown.svg))


def test_the_flip_drawn_is_the_one_nearest_to_the_figure() -> None:
    latency = builders.latency()
    chosen = typical_trial(latency)
    assert chosen is not None
    figure = latency.headline.value_ms
    assert figure is not None
    assert abs(chosen.mid_ms - figure) == min(abs(t.mid_ms - figure) for t in latency.trials)


def test_the_answering_pulse_is_filled_and_its_duration_written() -> None:
    latency = builders.latency()
    trial = typical_trial(latency)
    assert trial is not None
    drawn = trains(builders.evidence_for(latency), trial, frame_ms=22.5, pulse="high", practice=False)
    assert drawn is not None
    assert drawn.svg.count('fill-opacity="0.45"') == 1
    words = svg_texts(drawn.svg)
    assert f"{trial.after_us / 1000:.2f} ms" in words
    assert f"{trial.mid_ms:.2f} ms" in words
    assert [text for text in words if text in ("switch", "module input", "servo output")] == [
        "switch",
        "module input",
        "servo output",
    ]


def test_a_gap_is_shown_and_a_run_without_evidence_draws_no_trains() -> None:
    latency = builders.latency(5, ())
    evidence = builders.evidence_for(latency)
    trial = latency.trials[2]
    gap = Gap(leads=(), from_ns=trial.at_ns + 5_000_000, to_ns=trial.at_ns + 9_000_000, cause="lost")
    holed = replace(evidence, leads={role: replace(lead, gaps=(gap,)) for role, lead in evidence.leads.items()})
    whole = trains(evidence, trial, frame_ms=22.5, pulse="high", practice=False)
    drawn = trains(holed, trial, frame_ms=22.5, pulse="high", practice=False)
    assert whole is not None
    assert drawn is not None
    assert drawn.svg.count("#DAD8D2") == whole.svg.count("#DAD8D2") + len(evidence.leads)
    assert trains(None, trial, frame_ms=22.5, pulse="high", practice=False) is None
    assert trains(replace(evidence, leads={}), trial, frame_ms=None, pulse=None, practice=False) is None


def test_a_flood_of_edges_is_thinned() -> None:
    latency = builders.latency(5, ())
    evidence = builders.evidence_for(latency)
    start = evidence.start_ns
    flood = builders.edges(1, range(start, start + 400_000 * 10_000, 10_000))
    noisy = replace(evidence, leads={**evidence.leads, "module": replace(evidence.leads["module"], edges=flood)})
    trial = min(latency.trials, key=lambda t: abs(t.at_ns - start - 2_000_000_000))
    drawn = trains(noisy, trial, frame_ms=22.5, pulse="high", practice=False)
    assert drawn is not None
    assert len(drawn.svg) < 200_000


def test_text_is_escaped_and_cleaned() -> None:
    canvas = Canvas(200, 100)
    canvas.text(10, 20, '<script>alert("x")</script>\u202e&')
    root = ET.fromstring(canvas.svg())
    (text,) = root.iter(f"{SVG}text")
    assert text.text == '<script>alert("x")</script>&'


@pytest.mark.parametrize(
    ("span", "most", "step"), [(10.0, 5, 2.0), (10.0, 4, 2.5), (1.0, 3, 0.5), (97.0, 10, 10.0), (0.003, 4, 0.001)]
)
def test_steps_are_round(span: float, most: int, step: float) -> None:
    assert nice_step(span, most) == pytest.approx(step)


def test_a_step_rounded_down_is_never_above() -> None:
    assert round_down(3.85) == 2.5
    assert round_down(5.0) == 5.0
    assert round_down(0.099) == pytest.approx(0.05)


def test_ticks_show_the_digits_that_tell_them_apart() -> None:
    assert [step_places(step) for step in (2.5, 0.25, 10.0, 0.001)] == [1, 2, 0, 3]


@given(st.floats(min_value=-1e6, max_value=1e6), st.floats(min_value=0, max_value=1e6))
def test_an_axis_holds_its_values_between_its_ends(low: float, span: float) -> None:
    scale = axis(low, low + span, 100.0, 500.0, most=6)
    assert scale.holds(low)
    assert scale.holds(low + span)
    assert 1 <= len(scale.ticks) <= 9
    assert all(100 - 1e-6 <= scale.at(tick) <= 500 + 1e-6 for tick in scale.ticks)


def test_counts_have_whole_ticks() -> None:
    for most in (1, 2, 3, 7, 11, 400):
        assert all(tick == int(tick) for tick in axis(0, most, 0, 100, most=5, whole=True).ticks)
