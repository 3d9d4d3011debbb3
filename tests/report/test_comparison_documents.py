"""A comparison as JSON, CSV, HTML and PDF."""

import csv
import io
import json
import re
from dataclasses import replace

import pytest

from benchapp.presentation.comparison.comparison_page import comparison_page
from benchapp.records.run import Origin
from benchapp.report.comparison_json import comparison_document
from benchapp.report.findings_json import document_text
from benchapp.report.html import render_html
from benchapp.report.pairs_csv import COLUMNS, pairs_csv
from tests.reduction.compared_sessions import answers, session
from tests.reduction.comparing_coverage import FREE, IN_STEP, side_by_side
from tests.reduction.test_quantities import hold, session_of, sweep

PAIR_KEYS = {
    "a", "b", "verdict", "shift_ms", "shift_ci95_ms", "level", "dof", "at_most_ms", "hl_shift_ms", "hl_ci95_ms", "p",
    "p_adjusted", "mw_p", "reason", "more", "differs_in", "notes",
}  # fmt: skip
SET_KEYS = {
    "name", "sessions", "unit", "units", "value_ms", "standard_ms", "dof", "keeps_step", "frame_ms",
}  # fmt: skip
"""What others rely on (the contracts of the comparison document)."""


@pytest.fixture(scope="module")
def made():
    chains = (FREE, IN_STEP, replace(FREE, path_ms=FREE.path_ms + 0.2))
    sessions = [session([answers(chain, 8, 12, seed=n)], chain, name=f"={n}") for n, chain in enumerate(chains)]
    return side_by_side(sessions), sessions


def test_the_document_has_every_key_that_others_rely_on(made):
    tree = json.loads(document_text(comparison_document(*made, ("a", "b", "c"))))
    assert tree["format"] == "benchapp comparison 1"
    assert len(tree["sessions"]) == len(tree["sets"]) == len(tree["pairs"]) == 3
    assert all(set(pair) >= PAIR_KEYS for pair in tree["pairs"])
    assert all(set(own) >= SET_KEYS for own in tree["sets"])
    assert set(tree["quickest"]) >= {"verdict", "sets", "level"}
    assert [(pair["a"], pair["b"]) for pair in tree["pairs"]] == [(0, 1), (0, 2), (1, 2)]


def test_numbers_are_the_comparison_s_own(made):
    comparison, _ = made
    tree = comparison_document(*made, ("a", "b", "c"))
    pair, shown = comparison.pairs[0], tree["pairs"][0]
    assert shown["shift_ms"] == round(pair.shift_ms, 6)
    assert shown["shift_ci95_ms"] == [round(end, 6) for end in pair.shift_ci_ms]
    assert (shown["p"], shown["dof"], shown["level"]) == (pair.p, pair.dof, pair.level)
    assert len(tree["sets"][0]["power_ups"]) == 8
    assert tree["sets"][0]["power_ups"][3]["n"] == 12


def test_what_does_not_exist_is_null_and_never_nan():
    found = side_by_side([session_of(sweep(u=None)), session_of(hold(1.0))])
    sessions = [session_of(sweep(u=None)), session_of(hold(1.0))]
    text = document_text(comparison_document(found, sessions, ("a", "b")))
    (pair,) = json.loads(text)["pairs"]
    assert pair["shift_ms"] is None
    assert pair["shift_ci95_ms"] == [None, None]
    assert "NaN" not in text


def test_quantities_stand_in_the_document_with_their_verdicts():
    sessions = [session_of(sweep(1.0)), session_of(sweep(3.0))]
    tree = comparison_document(side_by_side(sessions), sessions, ("a", "b"))
    (quantity,) = tree["pairs"][0]["quantities"]
    assert (quantity["of"], quantity["verdict"], quantity["shift"]) == ("straightness_pct", "different", 2.0)
    assert tree["sets"][0]["quantities"][0]["standard"] == pytest.approx(0.1)


def test_the_table_of_pairs_is_inert_and_whole(made):
    comparison, _ = made
    rows = list(csv.DictReader(io.StringIO(pairs_csv(comparison, ("=1+1", "b,c", "d")))))
    assert len(rows) == 3
    assert tuple(rows[0]) == COLUMNS
    assert rows[0]["set_a"] == "'=1+1"
    assert rows[0]["set_b"] == "b,c"
    assert float(rows[0]["shift_ms"]) == pytest.approx(comparison.pairs[0].shift_ms, abs=1e-6)
    assert rows[0]["origin"] == "real"
    assert None not in rows[0].values()


def test_practice_says_so_in_every_row(made):
    _, sessions = made
    practice = [replace(one, facts=replace(one.facts, origin=Origin.PRACTICE)) for one in sessions]
    rows = csv.DictReader(io.StringIO(pairs_csv(side_by_side(practice), ("a", "b", "c"))))
    assert {row["origin"] for row in rows} == {"PRACTICE, SIMULATED"}


def test_the_page_as_html_fetches_nothing_and_escapes_every_name(made):
    comparison, sessions = made
    text = render_html(comparison_page(comparison, sessions, ("<b>a</b>", "b", "c")))
    assert not re.search(r"(src|href)=\"?https?://", text, re.IGNORECASE)
    assert "<b>a</b>" not in text
    assert "&lt;b&gt;a&lt;/b&gt;" in text
