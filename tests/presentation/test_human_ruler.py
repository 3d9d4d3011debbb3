"""The human ruler: metres to scale, the user's own sets as ticks, and nothing where there is no time."""

import re

import pytest

from benchapp.presentation.ground.human_ruler import EarlierSet, Flight, flown_m, flown_sentence, human_ruler
from tests.presentation.page_reading import svg_texts

EARLIER = (EarlierSet(name="Cedar", value_ms=26.4), EarlierSet(name="Birch", value_ms=58.8))


def dots_px(svg: str) -> list[float]:
    return [float(x) for x in re.findall(r'<circle cx="([\d.]+)"', svg)]


def ticks(svg: str) -> dict[float, float]:
    """The metres at which ticks are named, and where these stand [px]."""
    found = re.findall(r'<text x="([\d.]+)"[^>]*>([\d.]+)\sm</text>', svg)
    return {float(metres): float(x) for x, metres in found}


def test_metres_are_speed_times_time() -> None:
    assert flown_m(13.0, 20.0) == pytest.approx(0.26)
    assert flown_sentence(13.0, Flight()).replace("\u00a0", " ") == "At 20 m/s a model flies 0.26 m in that time."


def test_every_set_stands_at_its_metres_to_scale() -> None:
    figure = human_ruler(13.0, Flight(earlier=EARLIER))
    assert figure is not None
    named = ticks(figure.svg)
    px_per_m = (named[max(named)] - named[0.0]) / max(named)
    cedar, birch, own = dots_px(figure.svg)
    for px, value_ms in ((cedar, 26.4), (birch, 58.8), (own, 13.0)):
        assert px - named[0.0] == pytest.approx(px_per_m * flown_m(value_ms, 20.0), abs=0.2)
    assert {"this set", "Cedar", "Birch"} <= set(svg_texts(figure.svg))


@pytest.mark.parametrize("value_ms", [None, float("nan"), 0.0, -3.0])
def test_without_a_time_there_is_no_ruler(value_ms: float | None) -> None:
    assert human_ruler(value_ms, Flight()) is None


def test_the_usual_speed_is_said_to_be_the_program_s_own_choice() -> None:
    usual = human_ruler(13.0, Flight())
    chosen = human_ruler(13.0, Flight(speed_m_per_s=35.0, chosen=True))
    assert usual is not None
    assert chosen is not None
    assert "this program's own choice" in usual.caption
    assert "35\u00a0m/s was chosen" in chosen.caption


@pytest.mark.parametrize("width", [300.0, 720.0, 1400.0])
def test_whatever_the_sets_are_called_every_mark_and_word_stays_on_the_sheet(width: float) -> None:
    sets = tuple(EarlierSet(name="W" * 500, value_ms=10.0 + number) for number in range(9))
    figure = human_ruler(13.0, Flight(earlier=(*sets, EarlierSet(name="<b>", value_ms=2000.0))), width=width)
    assert figure is not None
    assert all(0 <= x <= figure.width for x in dots_px(figure.svg))
    assert "W" * 30 not in figure.svg
    assert "<b>" not in figure.svg
    for y in re.findall(r'<text x="[\d.]+" y="([\d.]+)"', figure.svg):
        assert 8 <= float(y) <= figure.height
