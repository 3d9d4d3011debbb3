"""The picture of sets side by side, and the page round it."""

import re
import xml.etree.ElementTree as ET
from dataclasses import replace

import pytest

from benchapp.presentation.comparison.comparison_page import comparison_page
from benchapp.presentation.comparison.side_by_side import MODEL_M_S, side_by_side, ties
from benchapp.presentation.ground.canvas import text_width_px
from benchapp.presentation.ground.page import PRACTICE_MARK, Figure, Heading, Paragraph, Table
from benchapp.records.comparison import DIFFERENT, Pair
from benchapp.records.run import Origin
from tests.presentation.page_reading import whole_text
from tests.reduction import comparing_coverage
from tests.reduction.compared_sessions import answers, session
from tests.reduction.comparing_coverage import FREE, IN_STEP
from tests.reduction.test_quantities import hold, session_of, sweep

SVG = "{http://www.w3.org/2000/svg}"
ALLOWED = {f"{SVG}{name}" for name in ("svg", "rect", "line", "polyline", "path", "circle", "text")}


def sessions_of(count: int):
    chains = [replace((FREE, IN_STEP)[n % 2], path_ms=5.0 + 3.0 * n) for n in range(count)]
    return [session([answers(chain, 5, 12, seed=n)], chain, name=f"Set {n}") for n, chain in enumerate(chains)]


@pytest.fixture(scope="module")
def made():
    """Return comparisons of 2, 6, 20 and 50 sets with their sessions and labels, by their number."""
    found = {}
    for count in (2, 6, 20, 50):
        sessions = sessions_of(count)
        labels = [f"Set {n} with a rather long name" for n in range(count)]
        found[count] = (comparing_coverage.side_by_side(sessions), sessions, labels)
    return found


def drawn(made, count: int, **changes) -> Figure:
    comparison, _, labels = made[count]
    figure = side_by_side(comparison, labels, **({"practice": False} | changes))
    assert figure is not None
    return figure


def texts(figure: Figure) -> list[ET.Element]:
    return list(ET.fromstring(figure.svg).iter(f"{SVG}text"))


@pytest.mark.parametrize("count", [2, 6, 20, 50])
def test_only_plain_shapes_and_every_text_large_enough_and_inside_the_sheet(made, count):
    figure = drawn(made, count, practice=True)
    root = ET.fromstring(figure.svg)
    assert {element.tag for element in root.iter()} <= ALLOWED
    assert PRACTICE_MARK in "".join(element.text or "" for element in texts(figure))
    for element in texts(figure):
        size = float(element.attrib["font-size"])
        assert size >= 11
        width = text_width_px(element.text or "", size, bold="font-weight" in element.attrib)
        x, anchor = float(element.attrib["x"]), element.attrib["text-anchor"]
        left = x - {"start": 0.0, "middle": width / 2, "end": width}[anchor]
        assert left >= 0
        assert left + width <= figure.width
        assert 0 < float(element.attrib["y"]) < figure.height


@pytest.mark.parametrize("count", [2, 6, 20, 50])
def test_every_flip_is_a_dot_and_every_switch_on_a_tick(made, count):
    root = ET.fromstring(drawn(made, count).svg)
    dots = sum(element.attrib["d"].count("M") for element in root.iter(f"{SVG}path"))
    assert dots == count * 60 + 1  # and the one of the key
    ticks = [line for line in root.iter(f"{SVG}line") if line.attrib["stroke-width"] == "1.3"]
    assert len(ticks) == count * 5 + 1


@pytest.mark.parametrize("count", [6, 20, 50])
def test_no_two_texts_of_a_row_lie_on_each_other(made, count):
    boxes = []
    for element in texts(drawn(made, count)):
        size = float(element.attrib["font-size"])
        width = text_width_px(element.text or "", size, bold="font-weight" in element.attrib)
        x, anchor = float(element.attrib["x"]), element.attrib["text-anchor"]
        left = x - {"start": 0.0, "middle": width / 2, "end": width}[anchor]
        boxes.append((round(float(element.attrib["y"]), 1), left, left + width))
    for y, left, right in boxes:
        others = [box for box in boxes if box[0] == y and box != (y, left, right)]
        assert all(right <= other[1] or left >= other[2] for other in others)


def test_the_quickest_set_stands_on_top(made):
    comparison, _, labels = made[6]
    figure = drawn(made, 6)
    names = [element for element in texts(figure) if (element.text or "").startswith("Set ")]
    order = sorted(names, key=lambda element: float(element.attrib["y"]))
    values = {label: own.figure.value_ms for label, own in zip(labels, comparison.sets, strict=True)}
    found = [values[next(label for label in labels if label.startswith(name.text.rstrip("…")))] for name in order]
    assert found == sorted(found)


def test_the_second_scale_is_the_first_in_metres(made):
    figure = drawn(made, 6)
    places = {element.text: float(element.attrib["x"]) for element in texts(figure)}
    metres = {float(text.removesuffix(" m")): x for text, x in places.items() if re.fullmatch(r"[\d.]+ m", text or "")}
    delays = {float(text): x for text, x in places.items() if re.fullmatch(r"\d\d", text or "")}
    (m0, x0), (m1, x1) = sorted(metres.items())[:2]
    (d0, y0), (d1, y1) = sorted(delays.items())[:2]
    assert (x1 - x0) / (m1 - m0) * MODEL_M_S / 1e3 == pytest.approx((y1 - y0) / (d1 - d0), rel=0.01)


def pairs_apart(comparison, *apart):
    told = {tuple(sorted(two)) for two in apart}
    pairs = tuple(
        Pair(a=pair.a, b=pair.b, verdict=DIFFERENT if (pair.a, pair.b) in told else "cannot-tell")
        for pair in comparison.pairs
    )
    return replace(comparison, pairs=pairs)


def test_ties_are_the_longest_stretches_of_which_no_two_differ(made):
    comparison = made[6][0]
    order = [0, 1, 2, 3, 4, 5]
    assert ties(pairs_apart(comparison), order) == [(0, 5)]
    assert ties(pairs_apart(comparison, (1, 4)), order) == [(0, 3), (2, 5)]
    assert ties(pairs_apart(comparison, *[(a, b) for a in order for b in order if a < b]), order) == []


def test_without_a_flip_there_is_no_picture():
    found = comparing_coverage.side_by_side([session_of(sweep()), session_of(sweep(2.0))])
    assert side_by_side(found, ["a", "b"], practice=False) is None


@pytest.mark.parametrize("count", [2, 6])
def test_the_page_begins_with_the_answer_and_the_picture(made, count):
    comparison, sessions, labels = made[count]
    page = comparison_page(comparison, sessions, labels, ["Nobody said anything."])
    kinds = [type(block) for block in page.blocks[:5]]
    assert kinds[:2] == [Heading, Paragraph]
    assert Figure in kinds
    assert "is" in page.blocks[1].text
    text = whole_text(page)
    assert "Nobody said anything." in text
    assert all(session.facts.evidence_hash in text for session in sessions)
    assert [block.key for block in page.blocks if isinstance(block, Table)] == ["sets", "pairs", "chances"]


def test_every_row_of_every_table_has_a_cell_a_column_and_every_dash_its_reason(made):
    for count in (2, 6, 20):
        comparison, sessions, labels = made[count]
        for table in comparison_page(comparison, sessions, labels).blocks:
            if isinstance(table, Table):
                assert all(len(row) == len(table.columns) for row in table.rows)
                assert all(cell.why for row in table.rows for cell in row if cell.text == "–")


def test_sweeps_and_holds_stand_side_by_side_without_a_race():
    for results in ((sweep(1.0), sweep(3.0)), (hold(1.0), hold(2.0))):
        sessions = [session_of(result) for result in results]
        found = comparing_coverage.side_by_side(sessions)
        page = comparison_page(found, sessions, ["a", "b"])
        assert [block.key for block in page.blocks if isinstance(block, Table)] == ["sets", "quantities"]
        assert page.blocks[0].text == "Side by side"


def test_practice_marks_the_page(made):
    comparison, sessions, labels = made[2]
    practice = [replace(one, facts=replace(one.facts, origin=Origin.PRACTICE)) for one in sessions]
    page = comparison_page(comparison, practice, labels)
    assert page.practice
    assert PRACTICE_MARK in next(block.svg for block in page.blocks if isinstance(block, Figure))
    assert not comparison_page(comparison, sessions, labels).practice
