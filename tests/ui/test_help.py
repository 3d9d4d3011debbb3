"""Help: one page for each page of the window, from the program's own files."""

import re
import xml.etree.ElementTree as ET
from html.parser import HTMLParser

import pytest
from PySide6.QtCore import QByteArray, Qt, QUrl
from PySide6.QtGui import QImage, QTextDocument
from PySide6.QtTest import QTest

from benchapp.acquisition.wishes import StopRun
from benchapp.presentation.figures.colours import ON_DARK
from benchapp.ui.help.browser import HelpBrowser, help_file
from benchapp.ui.steps import Step
from benchapp.ui.tokens import DARK, LIGHT

PAGES = sorted(path.stem for path in help_file("").glob("*.html"))
DRAWINGS = sorted(path.name for path in help_file("").glob("*.svg"))


class Links(HTMLParser):
    def __init__(self, text):
        super().__init__()
        self.links, self.images = [], []
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        facts = dict(attrs)
        if "href" in facts:
            self.links.append(facts["href"])
        if tag == "img":
            self.images.append((facts["src"], facts.get("alt", "")))


def text_of(page):
    return help_file(f"{page}.html").read_text(encoding="utf-8")


def test_every_page_of_the_window_has_a_page_of_help():
    assert {step.key for step in Step} | {"capture", "keys", "build-a-probe"} <= set(PAGES)


@pytest.mark.parametrize("page", PAGES)
def test_a_page_is_well_formed_and_points_only_to_what_is_there(page):
    ET.fromstring(text_of(page).removeprefix("<!DOCTYPE html>"))
    found = Links(text_of(page))
    assert all(link.removesuffix(".html") in PAGES for link in found.links)
    for source, alt in found.images:
        assert source in DRAWINGS
        assert len(alt) > 20
    assert not re.search(r"https?:|src=\"/|<script|<style", text_of(page))


@pytest.mark.parametrize("page", PAGES)
def test_every_page_can_be_reached_from_every_other(page):
    assert {f"{other}.html" for other in PAGES} <= set(Links(text_of(page)).links)


@pytest.mark.parametrize("name", DRAWINGS)
def test_a_drawing_uses_only_colours_that_have_a_counterpart_on_the_dark_ground(name):
    svg = help_file(name).read_text(encoding="utf-8")
    ET.fromstring(svg)
    assert set(re.findall(r"#[0-9A-F]{6}", svg)) <= set(ON_DARK)


@pytest.mark.parametrize("step", list(Step))
def test_f1_opens_the_help_of_the_page_that_is_shown_and_escape_leads_back(open_window, settle, step):
    window = open_window()
    window.go(step)
    settle(window)
    QTest.keyClick(window, Qt.Key.Key_F1)
    assert window.help.isVisible()
    assert window.help.browser.page == step.key
    assert window.help.browser.toPlainText().strip()
    QTest.keyClick(window.help.browser, Qt.Key.Key_Escape)
    assert window.pages.of_steps()[step].isVisible()


def test_escape_on_a_help_page_does_not_stop_a_run(practising, settle):
    window, recording = practising()
    window.go(Step.TESTS)
    recording.run(flips=3)
    settle(window)
    QTest.keyClick(window, Qt.Key.Key_F1)
    QTest.keyClick(window.help.browser, Qt.Key.Key_Escape)
    assert not any(isinstance(wish, StopRun) for wish in recording.wishes)
    assert window.tests.isVisible()


def test_a_link_leads_to_another_page_of_the_help_and_nowhere_else(open_window):
    window = open_window()
    window.navigator.show_help()
    browser = window.help.browser
    browser.anchorClicked.emit(QUrl("keys.html"))
    assert browser.page == "keys"
    for elsewhere in ("https://example.org/", "file:///etc/passwd", "../../README.md", "keys.html?x=1"):
        browser.anchorClicked.emit(QUrl(elsewhere))
        assert browser.page == "keys"


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


def test_drawings_take_the_colours_of_the_theme(qtbot, theme):
    browser = HelpBrowser(theme)
    qtbot.addWidget(browser)
    for tokens in (DARK, LIGHT):
        theme.tokens = tokens
        assert browser._drawing("leads.svg").pixelColor(2, 2).name() == tokens.card.lower()


def test_building_a_probe_is_explained_from_the_first_page(open_window):
    window = open_window()
    window.start.build_button.click()
    assert window.help.browser.page == "build-a-probe"
    window.help.back_button.click()
    assert window.start.isVisible()
