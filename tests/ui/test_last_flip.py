"""The last flip, held: on the run page and on Leads, by place, size and words."""

from dataclasses import replace
from itertools import pairwise

import pytest
from PySide6.QtWidgets import QApplication

from benchapp.presentation.live.last_flip import NO_FLIP_YET
from benchapp.ui.kept.steps import Step
from benchapp.ui.look.theme import apply_theme
from benchapp.ui.look.tokens import DARK, LIGHT
from tests.ui.fake_bench import FakeRecording
from tests.ui.made_flips import with_flips


def plain(text):
    return text.replace("\u00a0", " ")


@pytest.fixture
def in_run(practising, settle, moment_passes):
    """Return a window in a run of so many flips, and its recording."""

    def in_run(flips, recording=None, **told):
        window, recording = practising(recording)
        window.workbench.confirm("practice", yes=True)
        window.go(Step.TESTS)
        settle(window)
        window.pages.tests.choice.start_button.click()
        settle(window)
        moment_passes(window)
        with_flips(recording, flips, **told)
        settle(window)
        return window, recording

    return in_run


def place_in(window, widget):
    """Return a widget's rectangle in the window."""
    return widget.rect().translated(widget.mapTo(window, widget.rect().topLeft()))


def test_before_the_first_flip_the_leads_are_live_and_then_the_flip_is_held(practising, settle, moment_passes):
    window, recording = practising()
    window.workbench.confirm("practice", yes=True)
    window.go(Step.TESTS)
    settle(window)
    window.pages.tests.choice.start_button.click()
    settle(window)
    picture = window.pages.tests.run.picture
    assert picture.lanes.isVisible()
    assert not picture.last_flip.isVisible()
    with_flips(recording, 1)
    settle(window)
    assert not picture.lanes.isVisible()
    assert picture.last_flip.isVisible()
    assert picture.strip.isVisible()


def test_the_milliseconds_are_large_and_are_those_of_the_findings(in_run):
    window, recording = in_run(23)
    held = window.pages.tests.run.picture.last_flip
    found = recording.status().run.found
    assert held.large.text() == f"{found.trials[-1].mid_ms:.1f}"
    assert held.unit.text() == "ms"
    assert held.large.font().pointSizeF() >= 56
    # Read at 2 m: letters of a two-hundredth of the distance are 10 mm high (common practice, no source); 56 pt have
    # digits of 0.7 of that, 14 mm.
    assert held.large.fontMetrics().capHeight() / held.large.logicalDpiY() * 25.4 >= 10
    assert plain(held.lines[0].text()) == "the pulse grew longer, 1.10 to 1.90 ms"


def test_prompt_count_picture_and_strip_are_in_view_at_once_and_none_covers_another(in_run):
    window, _ = in_run(23)
    run = window.pages.tests.run
    assert run.scroller.verticalScrollBar().maximum() == 0
    picture = run.picture
    parts = [run.prompt, run.count, run.bar, picture.last_flip, picture.strip]
    places = [place_in(window, part) for part in parts]
    for number, place in enumerate(places):
        assert window.rect().contains(place), parts[number]
        assert not any(place.intersects(other) for other in places[number + 1 :]), parts[number]
    prompt, count, bar, last, strip = places
    assert count.left() > prompt.left()
    assert max(prompt.bottom(), count.bottom()) < bar.top() < last.top() < strip.top()
    # The picture is what the page is about.
    assert last.height() > 0.35 * window.pages.tests.run.height()
    assert picture.last_flip.picture.height() >= 120


def test_the_span_runs_from_the_edge_to_the_end_of_the_answering_pulse(in_run):
    window, recording = in_run(23)
    picture = window.pages.tests.run.picture.last_flip.picture
    flip = recording.status().run.last_flip
    places = picture.places()
    answering = [pulse for pulse in picture.flip.pulses if pulse.answer]
    assert len(answering) == 1
    assert answering[0].end_ms == picture.flip.ends_ms == pytest.approx(flip.mid_ms, abs=0.001)
    assert places.left < places.x(0.0) < places.x(answering[0].begin_ms) < places.x(answering[0].end_ms) < places.right
    assert places.control[1] < places.lengths.top()
    assert places.lengths.bottom() <= places.output[0]
    assert places.output[1] < places.bracket_y < picture.height()
    written = picture.written_lengths()
    assert next(pulse.length for _, pulse in written) == "1.90"
    assert {pulse.length for _, pulse in written} == {"1.10", "1.90"}


def test_what_is_drawn_is_the_span_in_a_tint_and_the_pulse_filled(in_run):
    window, _ = in_run(23)
    picture = window.pages.tests.run.picture.last_flip.picture
    places, image = picture.places(), picture.grab().toImage()
    answering = next(pulse for pulse in picture.flip.pulses if pulse.answer)
    between = round(places.x((answering.begin_ms + 3.0) / 2)), round(places.output[0] + 12)
    inside = round((places.x(answering.begin_ms) + places.x(answering.end_ms)) / 2), round(places.output[0] + 12)
    outside = round(places.right - 12), round(places.output[0] + 12)
    lights = [image.pixelColor(*at).lightness() for at in (outside, between, inside)]
    # Told apart in grey as well: ground, span, answer.
    assert lights[0] - lights[1] >= 12
    assert lights[1] - lights[2] >= 40


def test_the_picture_is_frozen_until_the_next_flip_was_measured(in_run, settle):
    window, recording = in_run(5)
    held = window.pages.tests.run.picture.last_flip
    before = held.grab().toImage(), held.picture.flip
    recording.tell(now_ns=recording.status().now_ns + 400_000_000)
    recording.run(flips=6)  # the next flip was seen, and is not answered yet
    for _ in range(5):
        settle(window)
    assert held.picture.flip is before[1]
    assert held.grab().toImage() == before[0]
    with_flips(recording, 6)
    settle(window)
    assert held.picture.flip is not before[1]
    assert plain(held.lines[0].text()).startswith("the pulse grew shorter")


def test_a_flip_without_an_answer_says_so_in_words_and_draws_no_span(in_run):
    window, _ = in_run(24, unanswered=True)
    picture = window.pages.tests.run.picture
    assert picture.last_flip.large.text() == "No answer"
    assert not picture.last_flip.unit.isVisible()
    assert picture.last_flip.picture.flip.ends_ms is None
    assert picture.strip.picture.strip.dots[-1].left_out
    assert picture.last_flip.large.width() >= picture.last_flip.large.sizeHint().width()


def test_the_new_dot_drops_into_the_strip(in_run, settle):
    window, recording = in_run(5)
    strip = window.pages.tests.run.picture.strip.picture
    assert len(strip.strip.dots) == 5
    while strip.falling:
        strip.advance()
    at_rest = strip.grab().toImage()
    settle(window, times=3)
    assert strip.grab().toImage() == at_rest
    with_flips(recording, 6)
    window.workbench._take_status(recording.status())
    assert len(strip.strip.dots) == 6
    assert strip.falling > 0
    falling = strip.grab().toImage()
    settle(window, times=30)
    assert strip.falling == 0
    assert strip.grab().toImage() != falling


def test_dots_stand_in_order_inside_the_strip_and_higher_is_later(in_run):
    window, _ = in_run(23)
    strip = window.pages.tests.run.picture.strip.picture
    places = [strip.place(dot) for dot in strip.strip.dots]
    assert all(one.x() < other.x() for one, other in pairwise(places))
    plot = strip.plot()
    assert all(plot.contains(place) for place in places)
    # 23 of 60: the strip grows to the right with the run.
    assert (places[-1].x() - plot.left()) / plot.width() == pytest.approx(22.5 / 60, abs=0.001)
    slow, quick = max(strip.strip.dots, key=lambda dot: dot.ms), min(strip.strip.dots, key=lambda dot: dot.ms)
    assert strip.place(slow).y() < strip.place(quick).y()


def test_the_figure_so_far_and_what_is_left_are_small_and_in_words(in_run):
    window, recording = in_run(23)
    run = window.pages.tests.run
    told = recording.status().run
    figure = plain(run.picture.strip.figure.text())
    assert figure.startswith(f"So far: {told.value_ms:.1f} ms ± {told.half_width_ms:.1f} ms, this switch-on")
    assert "any switch-on:" in figure
    assert plain(run.left_line.text()).startswith("about 37 flips")
    assert not run.values.isVisible()


def test_another_run_begins_without_the_flip_of_the_one_before(in_run, settle, moment_passes):
    window, recording = in_run(5)
    recording.run(outcome="complete", stop_reason="enough-flips")
    settle(window)
    moment_passes(window)
    window.pages.tests.show_choice()
    recording.now = replace(recording.now, run=None)
    settle(window)
    window.pages.tests.choice.start_button.click()
    recording.run(run=2, flips=0, answered=0)
    settle(window)
    picture = window.pages.tests.run.picture
    assert picture.lanes.isVisible()
    assert not picture.last_flip.isVisible()


def test_leads_hold_the_last_flip_beside_the_lanes_without_scrolling(practising, settle):
    window, recording = practising()
    leads = window.pages.leads
    assert leads.last_flip.isVisible()
    assert leads.last_flip.empty.text() == NO_FLIP_YET
    with_flips(recording, 3)
    recording.tell(run=None)
    settle(window, times=12)
    flip = recording.status().last_flip
    held = leads.last_flip
    assert not held.empty.isVisible()
    assert held.large.text() == f"{flip.mid_ms:.1f}"
    assert held.large.font().pointSizeF() >= 56
    assert leads.scroller.verticalScrollBar().maximum() == 0
    words, picture = place_in(window, held.large), place_in(window, held.picture)
    assert words.bottom() <= picture.top()
    assert place_in(window, leads.lanes).right() < place_in(window, held).left()
    assert window.rect().contains(place_in(window, held))
    assert len(held.picture.written_lengths()) >= 3
    assert held.picture.flip.ends_ms == pytest.approx(flip.mid_ms, abs=0.001)


def test_leads_let_the_flip_go_with_its_bench(practising, settle):
    window, recording = practising()
    with_flips(recording, 3)
    recording.tell(run=None)
    settle(window)
    assert window.pages.leads.last_flip.shown is not None
    window.workbench.close_bench()
    settle(window)
    assert window.pages.leads.last_flip.shown is None
    assert not window.pages.leads.last_flip.isVisible()


@pytest.mark.parametrize("tokens", [LIGHT, DARK], ids=lambda tokens: tokens.name)
@pytest.mark.parametrize("percent", [100, 200])
def test_nothing_of_the_held_flip_is_clipped_whatever_the_letters(in_run, settle, theme, tokens, percent):
    apply_theme(QApplication.instance(), theme, tokens, text_percent=percent)
    window, _ = in_run(24, FakeRecording(), unanswered=True)
    for _ in range(3):
        settle(window)
    picture = window.pages.tests.run.picture
    held = picture.last_flip
    for label in (held.title, held.large, *held.lines, picture.strip.title, picture.strip.figure):
        if not label.isVisible():
            continue
        assert label.height() >= label.heightForWidth(label.width()) - 1 if label.wordWrap() else True, label.text()
        if not label.wordWrap():
            assert label.width() >= label.sizeHint().width(), label.text()
            assert label.height() >= label.sizeHint().height(), label.text()
    assert held.picture.height() >= held.picture.minimumHeight()
    assert window.width() == 1280
