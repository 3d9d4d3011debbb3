"""Wherever a figure stands, it says which it is: this switch-on or any."""

import re
from dataclasses import replace

import pytest

from benchapp.presentation.flips.dots import OPACITIES, dots
from benchapp.presentation.flips.flip_figure_part import flip_figure_part
from benchapp.presentation.flips.flip_tables import budget_table
from benchapp.presentation.flips.switch_on_words import (
    any_beside,
    band_words,
    bands,
    bands_sentence,
    figure_for,
    next_switch_on,
    stands_for_words,
)
from benchapp.presentation.ground.page import KeyFigure
from benchapp.presentation.report_page.verdict import keep_in_mind, meaning, verdict
from benchapp.records.findings import BudgetLine
from tests.presentation import builders


def plain(text: str) -> str:
    return text.replace("\u00a0", " ")


def key_figure(run) -> KeyFigure:
    return next(
        block for block in flip_figure_part(run, run.result, key="", practice=False) if isinstance(block, KeyFigure)
    )


def test_what_a_figure_stands_for_has_words():
    assert stands_for_words("this-switch-on", 1) == "this switch-on"
    assert stands_for_words("this-switch-on", 2) == "these two switch-ons"
    assert stands_for_words("any-switch-on", 5) == "any switch-on"
    assert stands_for_words("a-code-of-tomorrow") == ""


def test_a_figure_that_does_not_exist_stands_for_nothing():
    assert figure_for(None, None, "this-switch-on") == "–"
    assert any_beside(None, None, "this-switch-on") == ""
    assert any_beside(12.0, None, "this-switch-on") == ""


@pytest.mark.parametrize(("blocks", "own", "beside"), [(1, "this switch-on", True), (5, "any switch-on", False)])
def test_the_key_figure_names_its_give_or_take_and_sets_any_switch_on_beside_it(blocks, own, beside):
    figure = key_figure(builders.run(builders.latency(60, (), blocks=blocks)))
    assert plain(figure.spread) == f"give or take 0.58 ms, {own}"
    first = plain(figure.lines[0])
    assert first.startswith("Any switch-on: ") is beside
    assert ("give or take 13 ms" in first) is beside


def test_a_locked_run_s_sentence_says_which_figure_it_is():
    said = plain(verdict(builders.run(flags=("phase-locked",))))
    assert "give or take 0.58 ms (this switch-on); but your flips kept step" in said


def test_the_bands_are_those_of_the_budget_not_of_the_flips_alone():
    latency = builders.latency(60, ())
    latency = replace(latency, headline=replace(latency.headline, value_ms=24.0, expanded_uncertainty_ms=10.0))
    latency = replace(
        latency, any_switch_on=replace(latency.any_switch_on, value_ms=24.0, expanded_uncertainty_ms=16.0)
    )
    assert bands(latency) == ((14.0, 34.0), (8.0, 40.0))
    assert tuple(plain(words) for words in band_words(latency)) == ("this switch-on ± 10 ms", "any switch-on ± 16 ms")
    assert plain(bands_sentence(latency)) == "Line and band: this switch-on ± 10 ms; wide band: any switch-on ± 16 ms."


def test_from_three_switch_ons_one_band_is_drawn():
    latency = builders.latency(60, (), blocks=4)
    assert len(bands(latency)) == 1
    assert plain(bands_sentence(latency)) == "Line and band: any switch-on ± 0.58 ms."


def test_a_run_without_a_give_or_take_has_no_band():
    latency = builders.latency(0, ("no-answer",))
    assert (bands(latency), band_words(latency), bands_sentence(latency)) == ((), ("", ""), "")


@pytest.mark.parametrize(("blocks", "drawn"), [(1, 2), (5, 1)])
def test_the_drawing_has_a_named_band_for_each_figure(blocks, drawn):
    figure = dots(builders.latency(60, (), blocks=blocks), practice=False)
    assert figure is not None
    for opacity, there in zip(OPACITIES, (True, drawn == 2), strict=True):
        assert (f'opacity="{opacity}"' in figure.svg) is there
    words = plain(figure.svg)
    assert ("this switch-on ± 0.58 ms" in words) is (drawn == 2)
    assert ("any switch-on ± 13 ms" in words) is (drawn == 2)
    assert ("any switch-on ± 0.58 ms" in words) is (drawn == 1)
    assert "this switch-on" in plain(figure.alt) if drawn == 2 else "any switch-on" in plain(figure.alt)


def test_the_next_switch_on_may_differ_unless_the_run_shows_that_it_will():
    unknown, shown = builders.run(), builders.run(flags=("one-power-up",))
    assert any("may differ" in sentence for sentence in meaning(unknown))
    assert not any("may differ" in sentence for sentence in meaning(shown))
    assert any("will differ" in sentence for sentence in keep_in_mind(shown))
    assert not any("will differ" in sentence for sentence in keep_in_mind(unknown))
    two = builders.run(builders.latency(60, (), blocks=2))
    assert "two switch-ons cannot show" in next_switch_on(two, two.result)
    many = builders.run(builders.latency(60, (), blocks=5))
    assert next_switch_on(many, many.result) == ""


def test_the_budget_names_the_line_that_only_any_switch_on_has():
    lines = (BudgetLine(source="sampling", standard_ms=0.3, kind="A", dof=59.0),)
    wide = (*lines, BudgetLine(source="switch-on", standard_ms=6.5, kind="B", dof=None))
    named = [row[0].text for row in budget_table(lines, key="", wide=wide).rows]
    assert len(named) == 2
    assert named[1].startswith("For any switch-on besides: ")
    assert len(budget_table(wide, key="", wide=wide).rows) == 2


def test_the_key_of_the_bands_keeps_clear_of_the_mark_of_practice():
    figure = dots(builders.latency(60, ()), practice=True)
    assert figure is not None
    rows = {words: float(y) for y, words in re.findall(r'<text[^>]* y="([\d.]+)"[^>]*>([^<]*)</text>', figure.svg)}
    marks = [y for words, y in rows.items() if "PRACTICE" in words]
    bands_at = [y for words, y in rows.items() if "switch-on" in words]
    assert len(bands_at) == 2
    assert marks
    assert min(abs(band - mark) for band in bands_at for mark in marks) >= 14
