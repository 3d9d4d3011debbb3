"""Strip, safety rows, lasting troubles, chosen flips and the parts of a page, in words."""

import pytest

from benchapp.presentation.flips.dot_words import excluded_sentence, trial_sentence
from benchapp.presentation.ground.page import Heading, Page, Paragraph
from benchapp.presentation.ground.run_words import REFUSALS
from benchapp.presentation.live.strip_words import NO_PROBE, PRACTICE_TAG, StripMark, saved_session_words, strip_words
from benchapp.presentation.report_page.page_parts import of_run, parts, shared
from benchapp.presentation.screens.lasting import lasting_message
from benchapp.presentation.screens.safety_view import asked_again, safety_left, safety_rows
from benchapp.procedures.gate import GRAVE_LINES, PROPELLER_LINES, OnBench, Why, needed_lines
from benchapp.records.findings import Excluded, Trial
from benchapp.records.run import Origin


def plain(text):
    return text.replace("\u00a0", " ")


def strip(link="recording", **facts):
    usual = {
        "probe": "practice bench, radio Alder", "origin": Origin.PRACTICE, "recorded_s": 41.0, "saved_ago_s": 2.4,
        "missed": 0,
    }  # fmt: skip
    return strip_words(link, **(usual | facts))


def test_a_recording_says_how_long_and_how_safe():
    words = strip()
    assert words.state == "Practice bench, radio Alder · recording 00:41"
    assert plain(words.saving) == "Saved 2 s ago · 0 records missed"
    assert words.recording
    assert not words.missed


@pytest.mark.parametrize(
    ("seconds", "clock"), [(0.0, "00:00"), (61.9, "01:01"), (3599.0, "59:59"), (3725.0, "1:02:05")]
)
def test_the_clock_of_a_recording_reads_as_a_clock(seconds, clock):
    assert strip(recorded_s=seconds).state.endswith(clock)


def test_a_bench_that_is_not_recorded_says_nothing_of_saving():
    words = strip("ready", recorded_s=None, saved_ago_s=None)
    assert words.state == "Practice bench, radio Alder · ready"
    assert words.saving == ""
    assert not words.recording


def test_a_disk_that_does_not_answer_is_said_with_what_is_kept():
    words = strip(disk_silent_s=3.2, saved_records=4711, missed=2)
    assert plain(words.saving) == (
        "The disk has not answered for 3 s · 4\u202f711 records before that are safe · 2 records missed"
    )
    assert words.mark is StripMark.TROUBLE
    assert plain(strip(disk_silent_s=2.0, saved_records=1).saving).startswith(
        "The disk has not answered for 2 s · 1 record before that is safe"
    )


def test_misses_are_told_also_where_nothing_is_recorded():
    words = strip("ready", recorded_s=None, saved_ago_s=None, missed=1)
    assert plain(words.saving) == "1 record missed"
    assert words.missed


@pytest.mark.parametrize(
    ("link", "words"),
    [
        ("lost", "probe lost"),
        ("in-use", "in use"),
        ("not-allowed", "not allowed"),
        ("not-our-probe", "not our probe"),
        ("no-program", "no probe program yet"),
        ("old-program", "old probe program"),
        ("other-probe", "another probe"),
    ],
)
def test_every_state_of_the_probe_has_its_words(link, words):
    said = strip(link, probe="probe 7", origin=Origin.PROBE, recorded_s=None, saved_ago_s=None)
    assert said.state == f"Probe 7 · {words}"


def test_states_that_differ_in_meaning_differ_in_shape():
    links = ("looking", "ready", "recording", "paused", "lost")
    marks = [NO_PROBE.mark, saved_session_words("a", origin=Origin.PROBE).mark, *(strip(link).mark for link in links)]
    assert len(set(marks)) == len(marks) == len(StripMark)


def test_what_is_simulated_says_so_and_nothing_else_does():
    assert strip().tag == saved_session_words("a", origin=Origin.PRACTICE).tag == PRACTICE_TAG
    assert strip(origin=Origin.PROBE).tag == saved_session_words("a", origin=Origin.PROBE).tag == NO_PROBE.tag == ""


def test_a_session_s_name_is_shown_on_one_line_without_what_cannot_be_seen():
    assert saved_session_words("a\nb\u202ec", origin=Origin.PROBE).state == "Saved session: a bc"


def test_a_probe_is_asked_every_line_and_the_practice_bench_one():
    rows = safety_rows(Origin.PROBE, OnBench.COMBUSTION, confirmed=(), refusals={})
    assert [row.line for row in rows] == list(needed_lines(Origin.PROBE, OnBench.COMBUSTION))
    assert [row.line for row in rows if row.grave] == list(GRAVE_LINES)
    assert safety_rows(Origin.PROBE, None, confirmed=(), refusals={}) == ()
    assert [row.line for row in safety_rows(Origin.PRACTICE, None, confirmed=(), refusals={})] == ["practice"]


def test_a_bench_without_motors_is_not_asked_about_propellers():
    rows = safety_rows(Origin.PROBE, OnBench.SERVOS, confirmed=(), refusals={})
    assert not {row.line for row in rows} & {line.value for line in PROPELLER_LINES}


@pytest.mark.parametrize("why", list(Why))
def test_a_line_that_no_longer_holds_says_why(why):
    refusals = {"practice": why.value}
    row = safety_rows(Origin.PRACTICE, None, confirmed={"practice"}, refusals=refusals)[0]
    assert not row.confirmed
    assert bool(asked_again({"practice"}, refusals)) is (why is not Why.NOT_CONFIRMED)
    assert why is Why.NOT_CONFIRMED or REFUSALS[why] in asked_again({"practice"}, refusals)


def test_a_line_nobody_confirmed_is_not_asked_again():
    refusals = {"practice": "stale"}
    assert not safety_rows(Origin.PRACTICE, None, confirmed=(), refusals=refusals)[0].confirmed
    assert asked_again((), refusals) == ""


def test_lines_left_are_counted():
    assert safety_left({}) == ""
    assert "what is on the bench" in safety_left({"on-bench": "not-confirmed"})
    assert plain(safety_left({"a": "stale", "b": "stale"})) == "2 lines of Make it safe still to confirm."


def test_a_lasting_trouble_has_a_title_that_says_what_is_the_matter():
    lost = lasting_message("The port went away.", kept="All of it.", trouble="PortGone")
    assert (lost.title, lost.kept, lost.details) == ("The probe was lost", "All of it.", "The port went away.")
    assert lasting_message("No.", kept="", trouble="WrongCall").title == "The bench could not do that"


def trial(**facts):
    usual = {
        "flip": 12, "at_ns": 9_310_000_000, "direction": "up", "first_ms": 20.1, "mid_ms": 24.3125,
        "near_final_ms": None,
        "first_lead_ms": None, "mid_lead_ms": 22.0, "near_final_lead_ms": None, "phase": 0.1, "missing_pulses": 0,
        "frames_to_answer": 1, "near_half_way": False, "rise_frames": None, "before_us": 1100.0, "after_us": 1900.0,
        "block": 0,
    }  # fmt: skip
    return Trial(**(usual | facts))


def test_a_chosen_flip_says_its_latencies_and_nothing_that_does_not_exist():
    said = plain(trial_sentence(trial()))
    assert said == "Flip 12, up, at 9.31 s; half-way 24.312 ms; starts 20.100 ms."
    odd = plain(trial_sentence(trial(missing_pulses=2, near_half_way=True)))
    assert odd.endswith("2 pulses missing; a pulse near half-way.")


def test_a_flip_left_out_says_why():
    said = plain(excluded_sentence(Excluded(flip=3, at_ns=1_500_000_000, code="no-answer"), window_s=0.5))
    assert said.startswith("Flip 3, at 1.50 s, left out: no answer within 0.5")


def page(*keys):
    blocks = []
    for key in keys:
        blocks += [Heading(text=key, key=key), Paragraph(text=f"of {key}"), Heading(text="x", key=f"{key}-x", level=3)]
    return Page(
        title="t", subtitle="s", practice=False, session="n", evidence_code="c", software="w", blocks=tuple(blocks)
    )


def test_parts_hold_every_block_once_and_in_order():
    whole = page("safety", "verdict", "definitions")
    assert [block for part in parts(whole) for block in part.blocks] == list(whole.blocks)


def test_a_run_s_parts_are_its_own_and_the_rest_is_shared():
    whole = page("safety", "run-1-verdict", "run-1-figure", "run-2", "run-2-verdict", "definitions")
    assert list(of_run(whole, 1)) == ["verdict", "figure"]
    assert list(of_run(whole, 2)) == ["verdict"]
    assert list(shared(whole)) == ["safety", "definitions"]
    assert list(of_run(page("safety", "verdict", "figure"), 1)) == ["verdict", "figure"]
