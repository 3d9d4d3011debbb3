"""The table of flips as CSV: parses everywhere, hurts nobody."""

import csv
import io
from dataclasses import replace

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from benchapp.presentation.ground.page import PRACTICE_MARK
from benchapp.records.run import Origin
from benchapp.report.csv_tables import SESSION_COLUMNS, csv_tables
from benchapp.report.flips.trials_csv import COLUMNS as OWN_COLUMNS
from tests.presentation import builders

COLUMNS = (*SESSION_COLUMNS, *OWN_COLUMNS)


def trials_csv(facts, findings) -> str:
    return csv_tables(facts, findings)["trials.csv"]


def parsed(text: str) -> list[dict[str, str]]:
    rows = list(csv.reader(io.StringIO(text, newline=""), strict=True))
    assert tuple(rows[0]) == COLUMNS
    assert all(len(row) == len(COLUMNS) for row in rows)
    return [dict(zip(COLUMNS, row, strict=True)) for row in rows[1:]]


def table(**changes: object) -> list[dict[str, str]]:
    latency = builders.latency(5, ("no-answer", "dropped"))
    return parsed(trials_csv(builders.facts(**changes), builders.findings(builders.run(latency))))


def test_one_row_a_flip_in_order_with_exact_decimals() -> None:
    rows = table()
    source = builders.latency(5, ("no-answer", "dropped"))
    assert [row["flip"] for row in rows] == ["1", "2", "3", "4", "5", "6", "7"]
    assert [row["counted"] for row in rows] == ["yes"] * 5 + ["no"] * 2
    for row, trial in zip(rows, source.trials, strict=False):
        assert row["mid_ms"] == f"{trial.mid_ms:.6f}"
        seconds, _, fraction = row["at_s"].partition(".")
        assert int(seconds) * 10**9 + int(fraction) == trial.at_ns


def test_a_flip_left_out_has_its_reason_and_no_latency_among_those_that_count() -> None:
    unanswered, dropped = table()[5:]
    assert (unanswered["left_out_code"], unanswered["left_out_reason"]) == ("no-answer", "no answer within 0.5 s")
    assert unanswered["mid_ms"] == unanswered["left_out_mid_ms"] == ""
    assert dropped["mid_ms"] == ""
    assert dropped["left_out_mid_ms"] == "31.250000"


def test_lines_end_with_crlf_as_rfc_4180_asks() -> None:
    text = trials_csv(builders.facts(), builders.findings(builders.run()))
    assert text.endswith("\r\n")
    assert text.count("\n") == text.count("\r\n") == 61 + 1


def test_every_practice_row_says_so() -> None:
    assert {row["origin"] for row in table(origin=Origin.PRACTICE)} == {PRACTICE_MARK}
    assert {row["origin"] for row in table()} == {"probe"}


def test_a_session_without_runs_is_a_header() -> None:
    assert parsed(trials_csv(builders.facts(), builders.findings())) == []


# Starts that a spreadsheet takes for a formula, and ways round a simple check (OWASP, "CSV Injection").
ATTACKS = (
    "=1+1", "+1", "-1", "@SUM(1)", "\t=1", "\r=1", " =1", "\u00a0=1", "\n=1", "＝1", "\u202e=1", "\x00=1", '"=1"',
    "'=1",
)  # fmt: skip


@pytest.mark.parametrize("attack", ATTACKS)
def test_no_cell_of_text_begins_like_a_formula(attack: str) -> None:
    for row in table(name=attack, evidence_hash=attack):
        for column in ("session", "evidence_code"):
            assert not row[column].startswith(("=", "+", "-", "@", "\t", "\r", " ", "＝"))


@given(st.text(max_size=300))
@example('a,"b"\r\nc')
@settings(max_examples=300, deadline=None)
def test_any_name_gives_whole_rows(name: str) -> None:
    for row in table(name=name, evidence_hash=name):
        assert "\n" not in row["session"]
        assert not row["session"].startswith(("=", "+", "-", "@"))
        assert row["test"] == "switch-flip"


def test_plain_negative_numbers_are_never_prefixed() -> None:
    latency = builders.latency(1, ())
    early = replace(latency.trials[0], at_ns=-1_500_000_000)
    run = builders.run(replace(latency, trials=(early,)))
    (row,) = parsed(trials_csv(builders.facts(), builders.findings(run)))
    assert row["at_s"] == "-1.500000000"
