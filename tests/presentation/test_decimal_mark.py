"""Numbers on screen have the system's decimal mark; what is written into files keeps its point."""

import re
from contextvars import copy_context
from dataclasses import replace

import pytest

from benchapp.presentation.ground import numbers
from benchapp.presentation.ground.numbers import decimal_mark, for_spreadsheet, use_decimal_mark, written_with
from benchapp.presentation.ground.page import Definitions, KeyFigure, Notice, Page
from benchapp.presentation.live.run_view import run_view
from benchapp.presentation.report_page.findings_page import build_page
from benchapp.procedures.ground.progress import Prompt, RunProgress
from tests.presentation import builders
from tests.presentation import stick_builders as sticks
from tests.presentation.page_reading import block_texts, tables

POINTED = re.compile(r"\d\.\d")
RULES = re.compile(r"at most 0\.5|benchapp 0\.1\.0")
"""Limits of the method in its own sentences, and the program's version: text, not a number that was measured."""


def page_in(mark: str, *runs) -> Page:
    with written_with(mark):
        return build_page(builders.facts(bench={"transmitter": "Birch"}), builders.findings(*runs), [])


def measured(page: Page) -> list[str]:
    fixed = (Definitions, Notice)
    texts = [text for block in page.blocks if not isinstance(block, fixed) for text in block_texts(block)]
    return [RULES.sub("", text) for text in texts]


RUNS = {"flips": builders.run(), "sweep": sticks.sweep(), "stops": sticks.stops(), "hold": sticks.hold()}


@pytest.mark.parametrize("name", RUNS)
def test_every_number_of_a_page_has_the_mark_of_whoever_reads_it(name) -> None:
    comma, point = measured(page_in(",", RUNS[name])), measured(page_in(".", RUNS[name]))
    assert [text for text in comma if POINTED.search(text)] == []
    assert sum(bool(POINTED.search(text)) for text in point) > 20
    assert [re.sub(r"(?<=\d),(?=\d)", ".", text) for text in comma] == [
        re.sub(r"(?<=\d),(?=\d)", ".", text) for text in point
    ]


def test_the_figure_and_the_live_figure_have_it_too() -> None:
    figure = next(block for block in page_in(",", builders.run()).blocks if isinstance(block, KeyFigure))
    assert re.fullmatch(r"\d+,\d+", figure.value)
    run = RunProgress(
        run=1, test="switch-flip", prompt=Prompt.FLIP_NOW, flips=30, answered=30, last_ms=24.31, value_ms=24.06,
        half_width_ms=0.92,
    )  # fmt: skip
    with written_with(","):
        view = run_view(run)
    assert "24,3" in view.last
    assert "24,06" in view.figure
    assert "0,92" in view.give_or_take


@pytest.mark.parametrize(
    ("write", "shown"),
    [
        (lambda: numbers.at_places(-24.312, 2), "−24,31"),
        (lambda: numbers.at_places(2.5e12, 0), "2,5e+12"),
        (lambda: numbers.plainly(0.5, 3, "s"), "0,5\u00a0s"),
        (lambda: numbers.plainly(100.0, 4, "s"), "100\u00a0s"),
        (lambda: numbers.percent(0.082), "8,2\u00a0%"),
        (lambda: numbers.grouped(12345), "12\u202f345"),
    ],
)
def test_the_mark_is_all_that_changes(write, shown) -> None:
    with written_with(","):
        assert write() == shown
    assert write() == shown.replace(",", ".")


def test_the_mark_belongs_to_the_thread_that_wants_it_and_goes_with_the_work_it_hands_on() -> None:
    own = copy_context()
    own.run(use_decimal_mark, ",")
    assert decimal_mark() == "."
    assert own.run(decimal_mark) == ","
    assert own.copy().run(decimal_mark) == ","


@pytest.mark.parametrize("mark", [",", "."])
def test_a_copy_for_a_spreadsheet_reads_back_as_the_numbers_of_the_table(mark) -> None:
    latency = replace(builders.latency(), trials=builders.trials(1200))
    table = tables(page_in(mark, builders.run(latency)))["trials"]
    columns = [place for place, column in enumerate(table.columns) if column.numeric]
    for row, trial in zip(table.rows, latency.trials, strict=True):
        copied = [for_spreadsheet(row[place].text).replace(mark, ".") for place in columns]
        assert [float(text) for text in copied if text != "–"]
        assert int(copied[0]) == trial.flip
        assert float(for_spreadsheet(row[4].text).replace(mark, ".")) == pytest.approx(trial.mid_ms, abs=0.0006)
    with written_with(mark):
        assert float(for_spreadsheet(numbers.at_places(-1.25, 2)).replace(mark, ".")) == -1.25
