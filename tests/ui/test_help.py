"""Help: one page for each page of the window, from the program's own files."""

import re
import xml.etree.ElementTree as ET
from html.parser import HTMLParser

import pytest
from PySide6.QtCore import QByteArray, Qt, QUrl
from PySide6.QtGui import QImage, QTextDocument
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from benchapp.acquisition.wishes import StopRun
from benchapp.presentation.ground.colours import ON_DARK, ROLE_COLOURS
from benchapp.presentation.ground.page import Signal
from benchapp.presentation.ground.safety import PUT_BACK, SAFETY
from benchapp.procedures.gate import SafetyLine
from benchapp.ui.kept.steps import Step
from benchapp.ui.look.theme import apply_theme
from benchapp.ui.look.tokens import DARK, LIGHT, SIGNALS
from benchapp.ui.screens.help.browser import HelpBrowser, help_file
from benchapp.ui.screens.help.contents import CONTENTS, neighbours, wiring_page
from benchapp.ui.screens.help.contents import PAGES as LISTED
from benchapp.ui.screens.help.page import HelpPage
from benchapp.ui.screens.help.paper import page_pdf, save_page

PAGES = sorted(path.stem for path in help_file("").glob("*.html"))
DRAWINGS = sorted(path.name for path in help_file("").glob("*.svg"))
MOST_LETTERS = 80
"""A line may hold a few more letters than the 75 that are easy to read, where they are narrow ones."""


class Links(HTMLParser):
    def __init__(self, text):
        super().__init__()
        self.links, self.images, self.words = [], [], []
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        facts = dict(attrs)
        if "href" in facts:
            self.links.append(facts["href"])
        if tag == "img":
            self.images.append((facts["src"], facts.get("alt", "")))

    def handle_data(self, data):
        self.words.append(data)

    @property
    def text(self):
        return " ".join(" ".join(self.words).split())


def text_of(page):
    return help_file(f"{page}.html").read_text(encoding="utf-8")


def read(page):
    return Links(text_of(page)).text


def test_every_page_of_the_window_has_a_page_of_help():
    assert {step.key for step in Step} | {"capture", "settings", "keys", "build-a-probe"} <= set(PAGES)


def test_the_list_names_every_page_once_and_none_that_is_not_there():
    assert sorted(page for group in CONTENTS.values() for page in group) == PAGES


@pytest.mark.parametrize("page", PAGES)
def test_a_page_is_well_formed_and_points_only_to_what_is_there(page):
    ET.fromstring(text_of(page).removeprefix("<!DOCTYPE html>"))
    found = Links(text_of(page))
    assert all(link.removesuffix(".html") in PAGES for link in found.links)
    assert len(set(found.links) - {f"{page}.html"}) >= 2
    for source, alt in found.images:
        assert source in DRAWINGS
        assert len(alt) > 20
    assert not re.search(r"https?:|src=\"/|<script|<style", text_of(page))
    assert f"<title>{LISTED[page]}</title>" in text_of(page)


def test_every_drawing_is_on_a_page():
    shown = {source for page in PAGES for source, _ in Links(text_of(page)).images}
    assert shown == set(DRAWINGS)


@pytest.fixture
def help_page(qtbot, theme):
    """Return the help, as large as its place in the window is, with letters of a size."""

    def made(percent=100):
        apply_theme(QApplication.instance(), theme, LIGHT, text_percent=percent)
        page = HelpPage(theme)
        qtbot.addWidget(page)
        page.resize(1068 if percent == 100 else 936, 640)
        page.show()
        return page

    yield made
    apply_theme(QApplication.instance(), theme, LIGHT)


@pytest.mark.parametrize("percent", [100, 200])
def test_every_page_can_be_reached_from_every_other(help_page, percent):
    shown = help_page(percent)
    for page in PAGES:
        shown.browser.show_page(page)
        if shown.list.isVisible():
            rows = range(shown.list.count())
            reachable = {shown.list.item(row).data(Qt.ItemDataRole.UserRole) for row in rows}
        else:
            reachable = {link.removesuffix(".html") for link in Links(shown.browser.toHtml()).links}
        assert set(PAGES) <= reachable, page


def letters_of_the_longest_line(document):
    longest, block = 0, document.begin()
    while block.isValid():
        layout = block.layout()
        longest = max([longest, *(layout.lineAt(number).textLength() for number in range(layout.lineCount()))])
        block = block.next()
    return longest


@pytest.mark.parametrize("percent", [100, 200])
def test_lines_are_short_enough_to_read_and_nothing_is_wider_than_its_place(help_page, qapp, percent):
    shown = help_page(percent)
    for page in PAGES:
        shown.browser.show_page(page)
        qapp.processEvents()
        assert shown.browser.horizontalScrollBar().maximum() == 0, page
        assert 20 < letters_of_the_longest_line(shown.browser.document()) <= MOST_LETTERS, page
    assert shown.minimumSizeHint().width() <= shown.width()


@pytest.mark.parametrize("name", DRAWINGS)
def test_a_drawing_uses_only_colours_that_have_a_counterpart_on_the_dark_ground(name):
    svg = help_file(name).read_text(encoding="utf-8")
    ET.fromstring(svg)
    same_on_both = {ROLE_COLOURS["horn"]}
    assert set(re.findall(r"#[0-9A-Fa-f]{6}", svg)) <= set(ON_DARK) | same_on_both


@pytest.mark.parametrize("step", list(Step))
def test_f1_opens_the_help_of_the_page_that_is_shown_and_escape_leads_back(open_window, settle, step):
    window = open_window()
    window.go(step)
    settle(window)
    QTest.keyClick(window, Qt.Key.Key_F1)
    assert window.pages.help.isVisible()
    assert window.pages.help.browser.page == step.key
    assert window.pages.help.browser.toPlainText().strip()
    QTest.keyClick(window.pages.help.browser, Qt.Key.Key_Escape)
    assert window.pages.of_steps()[step].isVisible()


def test_f1_on_the_settings_opens_their_own_page(open_window, settle):
    window = open_window()
    window.interior.navigator.show_settings()
    QTest.keyClick(window, Qt.Key.Key_F1)
    assert window.pages.help.browser.page == "settings"
    QTest.keyClick(window.pages.help.browser, Qt.Key.Key_Escape)
    settle(window)
    assert window.pages.settings.isVisible()


@pytest.mark.parametrize("way", ["escape", "back", "f1"])
def test_leaving_the_help_gives_the_keyboard_back_to_what_had_it(open_window, settle, way):
    window = open_window()
    window.go(Step.BENCH)
    settle(window)
    field = window.pages.bench.fields["transmitter"]
    field.setFocus()
    QTest.keyClick(field, Qt.Key.Key_F1)
    settle(window)
    assert window.pages.help.browser.hasFocus()
    if way == "back":
        window.pages.help.back_button.click()
    else:
        QTest.keyClick(window.pages.help.browser, Qt.Key.Key_Escape if way == "escape" else Qt.Key.Key_F1)
    settle(window)
    assert field.hasFocus()


def test_where_what_had_the_keyboard_is_gone_the_main_button_gets_it(open_window, settle):
    window = open_window()
    window.go(Step.BENCH)
    settle(window)
    field = window.pages.bench.fields["transmitter"]
    field.setFocus()
    QTest.keyClick(field, Qt.Key.Key_F1)
    field.setEnabled(False)
    QTest.keyClick(window.pages.help.browser, Qt.Key.Key_Escape)
    settle(window)
    assert window.pages.bench.next_button.hasFocus()


def test_escape_on_a_help_page_does_not_stop_a_run(practising, settle):
    window, recording = practising()
    window.go(Step.TESTS)
    recording.run(flips=3)
    settle(window)
    QTest.keyClick(window, Qt.Key.Key_F1)
    QTest.keyClick(window.pages.help.browser, Qt.Key.Key_Escape)
    assert not any(isinstance(wish, StopRun) for wish in recording.wishes)
    assert window.pages.tests.isVisible()


def test_a_link_leads_to_another_page_of_the_help_and_nowhere_else(open_window):
    window = open_window()
    window.interior.navigator.show_help()
    browser = window.pages.help.browser
    browser.anchorClicked.emit(QUrl("keys.html"))
    assert browser.page == "keys"
    for elsewhere in ("https://example.org/", "file:///etc/passwd", "../../README.md", "keys.html?x=1"):
        browser.anchorClicked.emit(QUrl(elsewhere))
        assert browser.page == "keys"


def test_the_list_shows_which_page_is_open_and_opens_the_one_that_is_chosen(open_window, settle):
    window = open_window()
    window.interior.navigator.show_help_page("leads")
    settle(window)
    listed = window.pages.help.list
    assert listed.currentItem().text() == LISTED["leads"]
    QTest.keyClick(listed, Qt.Key.Key_Down)
    assert window.pages.help.browser.page == neighbours("leads")[1] == "safe"
    window.pages.help.browser.anchorClicked.emit(QUrl("wiring-horn.html"))
    assert listed.currentItem().text() == LISTED["wiring-horn"]


def test_nothing_but_the_help_s_own_drawings_is_loaded(qtbot, theme):
    browser = HelpBrowser(theme)
    qtbot.addWidget(browser)
    image = QTextDocument.ResourceType.ImageResource.value
    assert isinstance(browser.loadResource(image, QUrl("leads.svg")), QImage)
    for other in ("file:///etc/passwd", "/etc/passwd", "../probe/x.svg", "https://example.org/leads.svg", "x.png"):
        assert browser.loadResource(image, QUrl(other)) == QByteArray()


def test_a_page_that_is_not_there_says_so(qtbot, theme):
    browser = HelpBrowser(theme)
    qtbot.addWidget(browser)
    for page in ("nowhere", "../README", "/etc/passwd"):
        browser.show_page(page)
        assert "is missing" in browser.toPlainText()


def test_drawings_take_the_colours_of_the_theme_also_while_they_are_shown(help_page, theme):
    page = help_page()
    browser = page.browser
    browser.show_page("leads")
    image = QTextDocument.ResourceType.ImageResource.value
    for tokens in (DARK, LIGHT):
        apply_theme(QApplication.instance(), theme, tokens)
        shown = browser.document().resource(image, QUrl("leads.svg"))
        assert shown.pixelColor(2, 2).name() == tokens.card.lower()


def test_building_a_probe_is_explained_from_the_first_page(open_window):
    window = open_window()
    window.start.build_button.click()
    assert window.pages.help.browser.page == "build-a-probe"
    window.pages.help.back_button.click()
    assert window.start.isVisible()


@pytest.mark.parametrize(
    ("page", "press", "title"),
    [
        ("build-a-probe", lambda help_page: help_page.install_button, "Install the probe program"),
        ("self-test", lambda help_page: help_page.test_button, "Test the probe"),
    ],
)
def test_the_pages_about_the_probe_lead_to_where_it_is_done_and_from_there_back_to_the_step(
    open_window, settle, page, press, title
):
    window = open_window()
    window.go(Step.BENCH)
    shown = [window.pages.help.install_button, window.pages.help.test_button]
    window.interior.navigator.show_help_page(page)
    settle(window)
    offered = press(window.pages.help)
    assert [made for made in shown if made.isVisible()] == [offered]
    offered.click()
    settle(window)
    assert window.stage.currentWidget().title.text() == title
    window.interior.navigator.leave_settings()
    assert window.stage.currentWidget() is window.pages.bench
    window.interior.navigator.show_help_page("leads")
    settle(window)
    assert not any(made.isVisible() for made in shown)


@pytest.mark.parametrize(
    ("role", "closed", "page"),
    [
        ("switch", False, "wiring-switch"),
        ("switch", True, "wiring-closed"),
        ("output-2", False, "wiring-output"),
        ("drive", True, "wiring-drive"),
        ("stick", False, "wiring-stick"),
        ("", False, "build-a-probe"),
        ("of a newer program", False, "build-a-probe"),
    ],
)
def test_every_role_has_a_page_that_shows_its_wiring(role, closed, page):
    assert wiring_page(role, closed=closed) == page
    assert page in PAGES


# Cautions ----------------------------------------------------------------------------------------------------------

SAID = {
    SafetyLine.RECEIVER_ONLY: "Receiver and servo only; nothing that drives a motor is connected",
    SafetyLine.COMBUSTION_OFF: "never a turbine",
    SafetyLine.PROPELLER_OFF: "Car: wheels off the ground",
    SafetyLine.FLYING_CONTROLS: "Never tap a throttle stick or an arm switch",
    SafetyLine.POWER_ORDER: "Transmitter on first, model last; model off first, transmitter last",
    SafetyLine.STABILISER: "stabiliser or autopilot may start motors by itself",
    SafetyLine.ONE_RECEIVER: "Never at a flying site while anyone flies",
    SafetyLine.OPENED_SET: "aerial back before power",
    SafetyLine.LITHIUM: "smell, heat, swelling or noise",
    SafetyLine.EARTH: "never defeat a protective earth",
    SafetyLine.NOT_READY_TO_FLY: "a set changed for a test is not ready to fly",
    SafetyLine.SERVO_STARTS: "retracts and large servos crush",
    SafetyLine.OUTPUT_RATE: "stop at buzzing",
    SafetyLine.CONNECT_OFF: "carries the raw battery: cover it",
    SafetyLine.ONE_SUPPLY: "no motor current through a probe lead",
    SafetyLine.UNMODIFIED: "Nothing here is advice on altering a transmitter",
}


def test_the_page_about_safety_says_every_line_under_its_own_signal_word():
    assert set(SAID) == set(SAFETY) - {SafetyLine.PRACTICE, SafetyLine.ON_BENCH}
    items = re.findall(r"<li>(.*?)</li>", text_of("safe"), re.DOTALL)
    for line, phrase in SAID.items():
        signal = SAFETY[line].signal
        if signal is None:
            assert phrase in read("safe")
            continue
        holding = [Links(item).text for item in items if phrase.lower() in Links(item).text.lower()]
        assert len(holding) == 1, line
        assert holding[0].lstrip("\u00a0 ").startswith(signal.value), line
    assert "where they say otherwise, they win" in read("safe")
    assert "What needs a licensed or qualified person is theirs to do" in read("safe")
    assert "Binding again can overwrite a stored fail-safe" in read("safe")


def test_what_hurts_is_named_wherever_something_is_wired_or_run():
    assert set(SIGNALS) == {signal.value for signal in Signal}
    for page in PAGES:
        if page.startswith("wiring-") or page in ("switch-flip", "stick-sweep", "stick-by-stops", "hold-still"):
            assert re.search("WARNING|CAUTION", read(page)), page
    opened = ("leads", "build-a-probe", "wiring-switch", "wiring-drive", "wiring-stick", "safe")
    for page in opened:
        assert "attery out" in read(page), page
        assert "arranty" in read(page), page
    for page in ("build-a-probe", "leads", "safe"):
        assert re.search("Soldering: .*eye protection", read(page)), page
    for page in PAGES:
        if "protective earth" in read(page):
            assert "licensed or qualified person" in read(page), page
    for page in ("leads", "build-a-probe", "wiring-module", "safe"):
        assert "raw battery" in read(page), page
    for page in ("leads", "build-a-probe", "wiring-stick", "stick-sweep", "stick-by-stops", "safe"):
        assert "throttle stick" in read(page), page


def test_putting_back_is_told_line_by_line():
    told = read("put-back").lower()
    for line in PUT_BACK.values():
        assert line.rstrip(".").split(";")[0].lower() in told


# On paper ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("page", ["build-a-probe", "wiring-output", "nowhere"])
def test_a_page_becomes_a_pdf_to_print(theme, page):
    pdf = page_pdf(page)
    assert pdf.startswith(b"%PDF")
    assert b"/Type /Page" in pdf


def test_a_page_is_kept_where_it_is_wished_and_a_folder_that_refuses_is_said(open_window, tmp_path):
    window = open_window()
    window.interior.navigator.show_help_page("wiring-output")
    window.pages.help.save_paper(tmp_path / "wiring.pdf")
    assert (tmp_path / "wiring.pdf").read_bytes().startswith(b"%PDF")
    assert "wiring.pdf" in window.pages.help.said.text()
    window.pages.help.save_paper(tmp_path / "no such folder" / "wiring.pdf")
    assert "could not be written" in window.pages.help.said.text()
    assert not save_page("keys", tmp_path / "no such folder" / "keys.pdf")
