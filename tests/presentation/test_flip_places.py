"""No table shows more digits than the give or take beside it leaves a meaning: one more than its two, at most."""

import re
from dataclasses import replace

import pytest

from benchapp.presentation.ground.page import Table
from benchapp.presentation.report_page.findings_page import build_page
from benchapp.presentation.report_page.verdict import meaning
from tests.presentation import builders

DELAYS = ("points", "certainty", "directions")


def run_with(u_ms):
    """Return a run whose flips alone would tell its mean to 0.01 ms, while its give or take is u_ms."""
    latency = builders.latency(60)
    value = latency.headline.value_ms
    headline = replace(latency.headline, expanded_uncertainty_ms=u_ms, ci95_ms=(value - 0.0123, value + 0.0123))
    return builders.run(replace(latency, headline=headline))


def decimals(text):
    return len(text.partition(".")[2])


def delays_of(run):
    page = build_page(builders.facts(), builders.findings(run), [])
    for table in page.blocks:
        if isinstance(table, Table) and table.key.endswith(DELAYS):
            for row in table.rows:
                yield from (c.text for c, column in zip(row, table.columns, strict=True) if column.unit == "ms")


# U to two digits (JCGM 100:2008, 7.2.6), a table's cell to one digit more.
@pytest.mark.parametrize(("u_ms", "places"), [(1.1, 2), (0.64, 3), (13.0, 1), (140.0, 0), (0.0064, 4), (None, 2)])
def test_tables_show_one_digit_more_than_the_give_or_take_at_most(u_ms, places):
    shown = [text for text in delays_of(run_with(u_ms)) if text != "–"]
    assert len(shown) > 30
    assert {decimals(text) for text in shown} == {places}


def test_the_interval_from_the_flips_alone_has_no_more_digits_than_the_tables():
    page = build_page(builders.facts(), builders.findings(run_with(1.1)), [])
    (line,) = [line for block in page.blocks for line in getattr(block, "items", ()) if "flips alone" in line]
    assert {decimals(number) for number in re.findall(r"\d+\.\d+", line)} == {2}


def test_the_quickest_and_the_slowest_flip_end_where_the_figure_does():
    (said,) = [sentence for sentence in meaning(run_with(1.1)) if "the quickest took" in sentence]
    assert {decimals(number) for number in re.findall(r"\d+\.\d+", said)} == {1}
