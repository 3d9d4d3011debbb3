"""Tables of sweeps and holds as CSV: every number of the findings, safe in any spreadsheet."""

import csv
import io
from dataclasses import replace

import pytest

from benchapp.presentation.ground.page import PRACTICE_MARK
from benchapp.records.run import Origin
from benchapp.report.csv_tables import SESSION_COLUMNS, csv_tables
from benchapp.report.hold.held_csv import HELD_COLUMNS
from benchapp.report.sweep.sweep_csv import POSITION_COLUMNS, STROKE_COLUMNS
from tests.presentation import builders
from tests.presentation import stick_builders as sticks


def parsed(*runs, **changes) -> dict[str, list[dict[str, str]]]:
    made = dict(csv_tables(builders.facts(**changes), builders.findings(*runs)))
    del made["trials.csv"]  # always there, and tried in a file of its own
    assert all(text.endswith("\r\n") and text.count("\n") == text.count("\r\n") for text in made.values())
    return {name: list(csv.DictReader(io.StringIO(text, newline=""), strict=True)) for name, text in made.items()}


def test_every_position_of_a_sweep_is_a_row_in_both_units() -> None:
    run = sticks.sweep()
    rows, found = parsed(run)["sweeps.csv"], run.result
    assert tuple(rows[0]) == (*SESSION_COLUMNS, *POSITION_COLUMNS)
    assert [row["position"] for row in rows] == [str(n) for n in range(1, 52)]
    for row, x, up, off in zip(rows, found.curve.x, found.curve.up_us, found.curve.up_off_us, strict=True):
        assert float(row["stick"]) == pytest.approx(x, abs=1e-6)
        assert float(row["up_us"]) == pytest.approx(up, abs=1e-6)
        assert float(row["up_off_line_pct_of_span"]) == pytest.approx(100 * off / found.span_us, abs=1e-6)
        assert row["stick_unit"] == "V"


def test_every_stroke_and_every_position_held_is_a_row() -> None:
    run, held = sticks.sweep(), sticks.hold()
    tables = parsed(run, held)
    assert tuple(tables["strokes.csv"][0]) == (*SESSION_COLUMNS, *STROKE_COLUMNS)
    assert [row["way"] for row in tables["strokes.csv"]] == ["rising", "falling"] * 3
    (row,) = tables["holds.csv"]
    assert tuple(row) == (*SESSION_COLUMNS, *HELD_COLUMNS)
    assert float(row["sd_us"]) == pytest.approx(held.result.positions[0].sd_us, abs=1e-6)


def test_by_stops_the_positions_are_degrees_and_there_are_no_strokes() -> None:
    tables = parsed(sticks.stops())
    assert set(tables) == {"sweeps.csv"}
    assert {row["stick_unit"] for row in tables["sweeps.csv"]} == {"deg"}
    assert [float(row["stick"]) for row in tables["sweeps.csv"]] == [-30 + 7.5 * n for n in range(9)]


def test_what_does_not_exist_is_an_empty_cell_and_an_empty_table_no_file() -> None:
    run = sticks.sweep()
    curve = replace(run.result.curve, down_us=run.result.curve.down_us * float("nan"))
    (first, *_) = parsed(replace(run, result=replace(run.result, curve=curve)))["sweeps.csv"]
    assert first["down_us"] == ""
    assert parsed(builders.run()) == {}


def test_up_and_down_that_are_no_facts_are_empty() -> None:
    for row in parsed(sticks.sweep(cycles=1))["sweeps.csv"]:
        assert row["up_us"] == row["down_us"] == row["up_off_line_pct_of_span"] == ""
        assert row["half_way_us"]


def test_every_practice_row_says_so_and_a_name_is_never_a_formula() -> None:
    for rows in parsed(sticks.sweep(), sticks.hold(), origin=Origin.PRACTICE, name="=1+1").values():
        assert {row["origin"] for row in rows} == {PRACTICE_MARK}
        assert {row["session"] for row in rows} == {"'=1+1"}


def test_flips_keep_a_table_of_their_own() -> None:
    runs = (builders.run(), replace(sticks.sweep(), run=2))
    rows = list(
        csv.DictReader(io.StringIO(csv_tables(builders.facts(), builders.findings(*runs))["trials.csv"], newline=""))
    )
    assert {row["test"] for row in rows} == {"switch-flip"}
