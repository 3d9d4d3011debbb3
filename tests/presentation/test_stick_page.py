"""The page of sweeps and holds: complete whatever is missing, every number with its unit, every dash with its "
"reason."""

import re
from dataclasses import replace

import pytest

from benchapp.presentation.ground.page import PRACTICE_MARK, Facts, Heading, KeyFigure, Page, Paragraph
from benchapp.presentation.report_page.findings_page import build_page
from benchapp.presentation.report_page.first_sheet import REACH
from benchapp.records.findings import RunFindings
from benchapp.records.run import Origin
from benchapp.records.sweep_findings import Linearity, Steadiness
from benchapp.report.html import render_html
from tests.presentation import builders
from tests.presentation import stick_builders as sticks
from tests.presentation.page_reading import figures, keys, tables, whole_text
from tests.presentation.test_findings_page import emptied


def page_of(*runs: RunFindings, **changes: object) -> Page:
    return build_page(builders.facts(**changes), builders.findings(*runs), [])


BARE = Linearity(against="stick-voltage", x_unit="V", cycles=0, positions=0)
LACKS = {
    "one cycle": sticks.sweep(cycles=1),
    "by stops": sticks.stops(),
    "two stops": sticks.stops(positions=2),
    "never moved": replace(sticks.sweep(), result=BARE, notes=("stick-never-moved",), flags=("insufficient",)),
    "no samples": replace(sticks.sweep(), result=BARE, notes=("no-stick-samples",), frame=None, clock=None),
    "nothing held": replace(sticks.hold(), result=Steadiness(pulses=0, held_s=0.0), flags=("insufficient",)),
    "everything missing": replace(sticks.sweep(), result=emptied(sticks.sweep().result)),
    "a hold of nothing but gaps": replace(sticks.hold(), result=emptied(sticks.hold().result)),
}


def test_a_sweep_is_read_in_the_order_of_every_report() -> None:
    order = ["safety", "verdict", "figure", "short", "state", "means", "tested", "tables", "cautions", "definitions",
             "evidence"]  # fmt: skip
    assert [key for key in keys(page_of(sticks.sweep())) if key in order] == order
    assert [key for key in keys(page_of(sticks.hold())) if key in order] == order
    assert keys(page_of(sticks.sweep())).index("means") < keys(page_of(sticks.sweep())).index("plots")


def test_the_definition_stands_right_under_the_verdict() -> None:
    for run, word in (
        (sticks.sweep(), "Straightness (best line): half"),
        (sticks.hold(), "Spread: the standard deviation"),
    ):
        blocks = page_of(run).blocks
        behind = next(i for i, block in enumerate(blocks) if isinstance(block, Heading) and block.key == "means")
        paragraphs = [block for block in blocks[behind:] if isinstance(block, Paragraph)]
        place = next(i for i, block in enumerate(paragraphs) if block.text.startswith(("Your stick", "With nothing")))
        assert paragraphs[place + 1].text.startswith(word)


def test_a_sweep_has_its_three_figures_and_a_hold_its_strip() -> None:
    assert list(figures(page_of(sticks.sweep()))) == ["transfer", "deviation", "staircase"]
    assert list(figures(page_of(sticks.stops()))) == ["transfer", "deviation"]
    assert list(figures(page_of(sticks.hold()))) == ["hold"]
    assert "by stops no pulse is read between positions" in whole_text(page_of(sticks.stops()))


@pytest.mark.parametrize("run", [sticks.sweep(), sticks.stops()])
def test_every_figure_is_there_in_both_units_with_the_choices_that_change_it(run: RunFindings) -> None:
    page = page_of(run)
    table = tables(page)["straightness"]
    assert [column.unit for column in table.columns] == ["", "µs", "%", "", ""]
    assert len(table.rows) == 10
    text = whole_text(page)
    for choice in (
        "of output span",
        "not of a full scale",
        "averaged curve",
        "n − 2 = ",
        "largest over",
        "standard unc",
    ):
        assert choice in text, choice
    assert ("against the stick's own voltage" in text) is (run.result.x_unit == "V")


def test_a_table_holds_every_position_and_every_stroke() -> None:
    page = page_of(sticks.sweep())
    found = sticks.sweep().result
    assert len(tables(page)["positions"].rows) == found.positions
    assert len(tables(page)["strokes"].rows) == 6
    assert "strokes" not in tables(page_of(sticks.stops()))
    assert tables(page)["positions"].splits


def test_the_uncertainty_is_laid_open_line_by_line_in_both_units() -> None:
    found = sticks.sweep().result
    rows = tables(page_of(sticks.sweep()))["budget"].rows
    assert [row[0].text for row in rows] == [
        "How true the voltage lead reads", "How the strokes differ from each other",
        "The steps of the servo pulse at both ends", "The bend of the curve within one reading",
    ]  # fmt: skip
    for row, line in zip(rows, found.uncertainty, strict=True):
        assert float(row[2].text) == pytest.approx(line.standard_pct * found.span_us / 100, abs=6e-4)
        shares = [float(row[place].text) for place in (1, 3, 4)]
        assert shares == pytest.approx([line.standard_pct, line.terminal_pct, line.zero_based_pct], abs=6e-5)


def test_a_voltage_lead_of_which_nothing_is_known_is_said_to_be_outside_the_give_or_take() -> None:
    run = sticks.sweep()
    lines = tuple(replace(line, standard_pct=0.0) for line in run.result.uncertainty)
    unknown = replace(run, result=replace(run.result, uncertainty=lines))
    assert "how true it reads is not in the give or take" in whole_text(page_of(unknown))
    assert "how true it reads is not" not in whole_text(page_of(run))


@pytest.mark.parametrize("name", LACKS)
def test_whatever_is_missing_the_page_is_complete_and_plain(name: str) -> None:
    page = page_of(LACKS[name])
    found = keys(page)
    for part in ("safety", "verdict", "figure", "means", "tables", "cautions", "definitions", "evidence"):
        assert part in found
    text = whole_text(page)
    assert not re.search(r"\b(nan|None|inf)\b(?!:)", text)
    assert render_html(page)
    assert REACH in text
    (figure,) = [block for block in page.blocks if isinstance(block, KeyFigure)]
    assert figure.spread


@pytest.mark.parametrize("name", LACKS)
def test_every_dash_has_its_reason(name: str) -> None:
    for table in tables(page_of(LACKS[name])).values():
        for cell in (cell for row in table.rows for cell in row if cell.text == "–"):
            assert cell.why, table.key
            assert any(cell.why in note for note in table.notes)
    for block in page_of(LACKS[name]).blocks:
        if isinstance(block, Facts):
            assert not [row.label for row in block.rows if row.value.strip() == "–"]


@pytest.mark.parametrize("run", [sticks.sweep(), sticks.stops(), sticks.hold()])
def test_every_column_of_numbers_states_its_unit(run: RunFindings) -> None:
    for table in tables(page_of(run)).values():
        for place, column in enumerate(table.columns):
            assert bool(column.unit) == column.numeric, (table.key, column.title)
            if not column.numeric:
                assert not any(re.fullmatch(r"[−\d.\u202f]+", row[place].text) for row in table.rows)


def test_definitions_are_those_of_the_tests_that_were_run() -> None:
    swept, held, flipped = (whole_text(page_of(run)) for run in (sticks.sweep(), sticks.hold(), builders.run()))
    assert "Independent linearity" in swept
    assert "usage of IEC 61298-2" in swept
    assert "Independent linearity" not in held + flipped
    assert "Longest wait, missing servo pulses" in held
    for text in (swept, held):
        assert "A change of the control" not in text
        assert "Evidence code" in text


def test_practice_is_said_on_the_figure_and_every_plot() -> None:
    for run in (sticks.sweep(), sticks.hold()):
        page = page_of(run, origin=Origin.PRACTICE)
        (figure,) = [block for block in page.blocks if isinstance(block, KeyFigure)]
        assert PRACTICE_MARK in figure.label
        assert all(PRACTICE_MARK in drawn.svg for drawn in figures(page).values())


def test_a_session_of_flips_sweep_and_hold_reads_run_by_run_and_each_knows_the_others() -> None:
    runs = (builders.run(number=1), replace(sticks.sweep(), run=2), replace(sticks.hold(), run=3))
    page = page_of(*runs)
    found = keys(page)
    assert len(found) == len(set(found))
    assert found.index("run-1-verdict") < found.index("run-2-verdict") < found.index("run-3-verdict")
    assert "Switch to servo pulse, Stick sweep, Hold still" in page.subtitle
    text = whole_text(page)
    assert "the flips of run 1 took" in text
    assert "of the full travel of this session's sweep" in text
    assert "Independent linearity" in text
    assert "A change of the control" in text
    assert "Pick-up\n" in text
    assert "Pick-up\n" not in whole_text(page_of(sticks.sweep()))


def test_no_words_of_the_trade_s_statistics_stand_outside_how_it_was_computed() -> None:
    page = page_of(sticks.sweep())
    names = re.compile(r"least squares|Student|JCGM|independent linearity", re.IGNORECASE)
    part = ""
    for block in page.blocks:
        part = getattr(block, "key", part)
        if part in ("verdict", "figure", "plots", "straightness", "details"):
            assert not names.search(str(block)), part
