"""The report as one HTML file: complete, self-contained, inert."""

import base64
import re
from html.parser import HTMLParser
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from benchapp.presentation.ground.page import PRACTICE_MARK, Page
from benchapp.presentation.report_page.findings_page import build_page
from benchapp.records.run import Origin
from benchapp.report.html import render_html
from tests.presentation import builders

VOID = {"meta", "br", "link", "img", "input"}
EXPECTED_TAGS = {
    "html", "head", "meta", "title", "style", "body", "header", "main", "footer", "h1", "h2", "h3", "p", "ul", "li",
    "div", "dl", "dt", "dd", "figure", "figcaption", "table", "caption", "thead", "tbody", "tr", "th", "td", "span",
    "small", "nav", "a", "strong", "details", "summary", "svg", "rect", "line", "polyline", "path", "circle", "text",
}  # fmt: skip


class Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.tags: set[str] = set()
        self.attributes: list[tuple[str, str | None]] = []
        self.open: list[str] = []
        self.words: list[str] = []
        self.headings: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)
        self.attributes += attrs
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)
        self.attributes += attrs

    def handle_endtag(self, tag: str) -> None:
        assert self.open, f"</{tag}> closes nothing"
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        if self.open and self.open[-1] != "style":
            self.words.append(data)
            if self.open[-1] in ("h1", "h2", "h3"):
                self.headings.append(data)


def read(text: str) -> Reader:
    reader = Reader()
    reader.feed(text)
    reader.close()
    assert reader.open == []
    return reader


def page(**changes: object) -> Page:
    latency = builders.latency()
    return build_page(
        builders.facts(**changes), builders.findings(builders.run(latency)), [builders.evidence_for(latency)]
    )


def test_the_document_is_whole_and_holds_the_page_in_order() -> None:
    text = render_html(page())
    reader = read(text)
    assert text.startswith("<!DOCTYPE html>")
    order = ["Safety", "Verdict", "The figure", "What it means", "Every flip", "What was tested", "Tables",
             "Flips left out", "The cautions in full", "Definitions used", "Evidence"]  # fmt: skip
    assert [heading for heading in reader.headings if heading in order] == order
    assert text.count("<svg ") == 6


def test_nothing_is_fetched_from_anywhere() -> None:
    text = render_html(page())
    reader = read(text)
    assert reader.tags <= EXPECTED_TAGS
    names = {name for name, _ in reader.attributes}
    addresses = [value or "" for name, value in reader.attributes if name == "href"]
    assert addresses
    assert all(re.fullmatch(r"#[a-z0-9-]+", address) for address in addresses)
    assert not names & {"src", "srcset", "action", "data", "poster", "background", "xlink:href", "style"}
    assert not any(name.startswith("on") for name in names)
    assert "http://" not in text
    assert "https://" not in text
    assert "//" not in re.sub(r"<!--.*?-->", "", text).replace("://", "")
    assert "url(" not in text
    assert "@import" not in text


def test_it_prints_well_by_rule() -> None:
    text = render_html(page())
    assert "@page" in text
    assert "break-after: avoid" in text
    assert "break-inside: avoid" in text
    assert "table-header-group" in text
    assert "tabular-nums" in text


def test_practice_is_printed_on_every_sheet_and_on_the_page() -> None:
    text = render_html(page(origin=Origin.PRACTICE))
    assert f'content: "{PRACTICE_MARK}"' in text
    assert text.count(PRACTICE_MARK) >= 5 + 4
    assert PRACTICE_MARK not in render_html(page())


@pytest.mark.parametrize(
    "name",
    [
        "<script>alert(1)</script>",
        "</title><script>x</script>",
        "<img src=x onerror=alert(1)>",
        "]]></style><b>",
        "{{ 7*7 }}{% raw %}",
        '" onmouseover="x',
        "&lt;b&gt;",
    ],
)
def test_hostile_names_are_shown_as_typed(name: str) -> None:
    text = render_html(page(name=name, bench={"transmitter": name, "servo": name}, notes=(name,)))
    reader = read(text)
    assert reader.tags <= EXPECTED_TAGS
    assert reader.words.count(name) >= 3
    assert "49" not in reader.headings[0]


@given(st.text(max_size=200))
@settings(max_examples=60, deadline=None)
def test_any_text_is_inert(name: str) -> None:
    made = build_page(
        builders.facts(name=name, software=name, evidence_hash=name, bench={"module": name}, damage=(name,)),
        builders.findings(),
        [],
    )
    reader = read(render_html(made))
    assert reader.tags <= EXPECTED_TAGS
    assert made.title in reader.headings


def test_a_name_of_ten_thousand_characters_is_cut() -> None:
    text = render_html(page(name="W" * 10_000))
    assert "W" * 200 not in text


def test_a_thousand_flips_are_all_in_the_table() -> None:
    latency = builders.latency(1000, ())
    made = build_page(builders.facts(), builders.findings(builders.run(latency)), [])
    text = render_html(made)
    assert text.count("<tr>") >= 1000
    assert len(text) < 2_000_000


def test_a_photo_of_the_bench_stands_in_the_report_with_words_for_who_cannot_see_it() -> None:
    jpeg = (Path(__file__).parent / "data" / "bench.jpg").read_bytes()
    page = build_page(builders.facts(name="Birch & co", photo=jpeg), builders.findings(), ())
    html = render_html(page)
    (image,) = re.findall(r"<img [^>]*>", html)
    assert 'alt="Photo of the bench of Birch &amp; co"' in image
    encoded = re.search(r'src="data:image/jpeg;base64,([^"]+)"', image)
    assert encoded is not None
    assert base64.b64decode(encoded[1]) == jpeg
    assert "img-src data:" in html
    assert "<img" not in render_html(build_page(builders.facts(), builders.findings(), ()))
