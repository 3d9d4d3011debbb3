"""The printable protractor: its marks stand where a stop is asked for, at the size it says."""

import math
from xml.etree import ElementTree as ET

import pytest

from benchapp import assets
from tests.whole.make_protractor import FILE, HEIGHT, PIVOT, WIDTH, sheet

SVG = "{http://www.w3.org/2000/svg}"


def root() -> ET.Element:
    return ET.fromstring(FILE.read_text(encoding="utf-8"))


def lines(kind: str) -> list[tuple[float, float, float, float]]:
    found = [line for line in root().iter(f"{SVG}line") if line.get("class") == kind]
    return [tuple(float(line.get(key)) for key in ("x1", "y1", "x2", "y2")) for line in found]


def angle(x: float, y: float) -> float:
    return math.degrees(math.atan2(x - PIVOT[0], PIVOT[1] - y))


def test_the_sheet_is_what_its_maker_draws():
    assert FILE.read_text(encoding="utf-8") == sheet()


def test_it_is_among_the_shipped_files():
    assert assets.resource(FILE.name).is_file()


def test_one_unit_is_one_millimetre():
    assert (root().get("width"), root().get("height")) == (f"{WIDTH:g}mm", f"{HEIGHT:g}mm")
    assert root().get("viewBox") == f"0 0 {WIDTH:g} {HEIGHT:g}"
    ((x1, _, x2, _),) = lines("ruler")
    assert x2 - x1 == pytest.approx(100.0)


@pytest.mark.parametrize(("count", "apart_deg"), [(5, 15.0), (9, 7.5), (11, 6.0), (21, 3.0)])
def test_the_marks_of_a_preset_are_even_from_minus_thirty_to_thirty_degrees(count, apart_deg):
    marks = sorted(angle(x, y) for _, _, x, y in lines(f"stop-{count}"))
    assert marks == pytest.approx([-30 + n * apart_deg for n in range(count)], abs=0.01)


def test_every_degree_has_a_tick_that_points_at_the_pivot():
    ticks = lines("degree")
    assert sorted(angle(x2, y2) for _, _, x2, y2 in ticks) == pytest.approx(list(range(-45, 46)), abs=0.01)
    assert all(angle(x1, y1) == pytest.approx(angle(x2, y2), abs=0.01) for x1, y1, x2, y2 in ticks)


def test_nothing_lies_off_the_sheet():
    for kind in ("degree", "ruler", "pivot", "stop-21"):
        for x1, y1, x2, y2 in lines(kind):
            assert all(5 <= x <= WIDTH - 5 for x in (x1, x2))
            assert all(5 <= y <= HEIGHT - 5 for y in (y1, y2))
    for text in root().iter(f"{SVG}text"):
        assert 5 <= float(text.get("y")) <= HEIGHT - 5
