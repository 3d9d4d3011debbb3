"""What a comparison says, in whole plain sentences."""

import re
from dataclasses import replace

import pytest

from benchapp.presentation.comparison.asides import BETWEEN, asides
from benchapp.presentation.comparison.comparison_lines import comparison_lines
from benchapp.presentation.comparison.comparison_words import (
    MOST_PAIRS,
    REASONS,
    answer,
    beside_pair,
    by_figure,
    more_sentence,
    shown_pairs,
)
from benchapp.presentation.comparison.side_words import LIKENESS, QUANTITIES, listed, set_labels
from benchapp.records.comparison import (
    ANSWERED_NO,
    ANSWERED_YES,
    APART_IN_TIME,
    NOT_KNOWN,
    SAID,
    Between,
    Likeness,
    More,
)
from tests.reduction.compared_sessions import answers, session
from tests.reduction.comparing_coverage import FREE, side_by_side
from tests.reduction.test_quantities import hold, session_of, sweep

NAMES = ("Alder", "Birch", "Cedar", "Damson", "Elder", "Fir")


def sets(*later_ms: float, blocks: int = 8):
    return side_by_side(
        [
            session([answers(own, blocks, 12, seed=place)], own)
            for place, later in enumerate(later_ms)
            for own in (replace(FREE, path_ms=FREE.path_ms + later),)
        ]
    )


def plain(text: str) -> str:
    return text.replace("\u00a0", " ")


def test_of_two_the_quicker_one_is_named_with_by_how_much():
    found = plain(answer(sets(8.0, 0.0), NAMES))
    assert re.fullmatch(r"Birch is quicker than Alder, by \d\.\d+ ms, give or take [01]\.\d+ ms\.", found)
    assert answer(sets(0.0, 8.0), NAMES).startswith("Alder is quicker than Birch, by ")


def test_two_that_cannot_be_told_stand_beside_each_other():
    assert answer(sets(0.0, 0.1), NAMES) == "Alder or Birch: these flips cannot tell which is quicker."


def test_of_several_the_quickest_is_named():
    assert answer(sets(9.0, 9.0, 0.0, 9.0, 9.0, 9.0), NAMES) == "Cedar is the quickest of the six."


def test_those_that_may_be_the_quickest_are_listed():
    found = answer(sets(0.0, 9.0, 0.1), NAMES)
    assert found == "Alder or Cedar: these flips cannot tell which is the quickest."


def test_where_none_can_be_told_it_is_said_so():
    assert answer(sets(0.0, 0.05, 0.1), NAMES) == "These flips cannot tell which of the three is the quickest."


def test_unlike_tests_are_said_with_the_reason_and_every_field_has_words():
    found = side_by_side([session_of(sweep()), session_of(hold(1.0))])
    assert answer(found, NAMES) == "Alder and Birch are not compared: they went through different tests."
    assert set(LIKENESS) == set(Likeness.__dataclass_fields__)


def test_sweeps_are_said_to_differ_in_what_was_judged_different():
    found = side_by_side([session_of(sweep(1.0)), session_of(sweep(3.0))])
    assert answer(found, NAMES) == "Alder and Birch differ in straightness (best line)."
    shown = side_by_side([session_of(sweep(1.0, u=None)), session_of(sweep(3.0, u=None))])
    assert answer(shown, NAMES) == "Alder and Birch stand side by side: shown, not judged."


def test_every_quantity_of_a_sweep_and_of_a_hold_has_words():
    ends = {"low_us": 1.0, "high_us": 2.0, "centre_offset_us": 3.0, "dead_band_pct_of_input": 1.0, "step_us": 1.0}
    more = {"fitted_hysteresis_pct": 0.1, "hysteresis_pct": 0.2, "centre_flat_pct_of_input": 0.3}
    whole = {"repeatability_us": 0.4}
    held = {"peak_to_peak_us": 2.0, "frame_period_ms": 22.0, "frame_sd_us": 1.0, "drift_us_per_min": 0.1}
    for one in (session_of(sweep(**ends, **more, **whole)), session_of(hold(1.0, **held))):
        found = side_by_side([one, one]).sets[0].quantities
        assert len(found) >= 5
        assert {quantity.key for quantity in found} <= set(QUANTITIES)


def test_what_cannot_be_told_says_how_large_it_could_be_why_and_what_would_tell():
    found = sets(0.0, 0.6, blocks=5)
    text = plain(" ".join(beside_pair(found.pairs[0], found.sets, None)))
    assert "If there is a difference, it is no larger than" in text
    assert "From eight switch-ons on" in text
    assert "each (" in text or "No reasonable number" in text
    assert all(REASONS.values())


@pytest.mark.parametrize(
    ("more", "said"),
    [
        (More(switch_ons=12), "4 more switch-ons each would tell, if the difference is what it looks like."),
        (More(switch_ons=9, flips=108), "1 more switch-on each (108 flips a set in all) would tell"),
        (More(), "No reasonable number of switch-ons would tell"),
    ],
)
def test_how_many_more_is_said_as_more(more, said):
    found = sets(0.0, 0.1)
    assert said in more_sentence(more, *found.sets)


def test_with_unlike_numbers_it_is_said_as_a_whole():
    one, other = sets(0.0, 0.1).sets
    fewer = replace(other, figure=replace(other.figure, unit_means_ms=other.figure.unit_means_ms[:5]))
    assert "12 switch-ons each would tell" in more_sentence(More(switch_ons=12), one, fewer)


def test_an_aim_is_answered():
    one, other = (session([answers(FREE, 8, 12, seed=seed)], FREE) for seed in (3, 4))
    for aim, said in ((9.0, "Any difference is smaller than 9 ms."), (0.05, "A difference of 0.05 ms or more is not")):
        found = side_by_side([one, other], aim_ms=aim)
        text = plain(" ".join(beside_pair(found.pairs[0], found.sets, aim)))
        assert said in text
        assert ("no larger than" in text) is (aim < 1)


def test_sets_are_listed_the_quickest_first_with_the_place_each_can_have():
    found = sets(9.0, 0.0, 0.05)
    assert by_figure(found)[2] == 0
    lines = [plain(line) for line in comparison_lines(found, NAMES, ())]
    rows = [line.split() for line in lines if "switch-ons, 96 of 96 flips" in line]
    assert [row[0] for row in rows] == ["1", "1", "3"]
    assert [" ".join(row[:3]) for row in rows][:2] == ["1 to 2", "1 to 2"]


def test_practice_stands_on_top():
    one = session([answers(FREE, 8, 12)], FREE)
    practice = replace(one, facts=replace(one.facts, origin=type(one.facts.origin)("practice")))
    assert comparison_lines(side_by_side([practice, practice]), NAMES, ())[0] == "PRACTICE, SIMULATED"
    assert "PRACTICE" not in "".join(comparison_lines(side_by_side([one, one]), NAMES, ()))


def test_names_tell_sets_apart():
    assert set_labels(["Alder", "Birch"], ["a", "b"]) == ("Alder", "Birch")
    assert set_labels(["Alder", "alder", ""], ["a", "b", "c"]) == ("Alder (a)", "alder (b)", "c")
    assert set_labels(["", ""], ["a", "a"]) == ("a [1]", "a [2]")
    assert set_labels(["A\u202e\x1b\nB"], ["x"]) == ("A B",)
    assert len(set_labels(["x" * 500], ["a"])[0]) <= 40


def test_lists_read_like_lists():
    assert [listed(["a", "b", "c"][:n], "or") for n in range(4)] == ["", "a", "a or b", "a, b or c"]


@pytest.mark.parametrize("how", [SAID, APART_IN_TIME, ANSWERED_YES, ANSWERED_NO, NOT_KNOWN])
def test_how_switch_ons_are_known_to_be_distinct_is_said(how):
    found = sets(0.0, 1.0)
    (sentence,) = asides(found, [Between(before=0, after=1, how=how)], ["a.t2h", "b.t2h"])
    assert "a.t2h" in sentence
    assert "b.t2h" in sentence
    assert how in BETWEEN


def test_runs_that_share_a_switch_on_are_said_to():
    one = session([answers(FREE, 2, 12, seed=seed) for seed in (1, 2)], FREE)
    said = asides(side_by_side([one, one]), [], ["a.t2h", "b.t2h"])
    assert "Runs 1 and 2 of a.t2h share a switch-on" in said[0]
    parted = replace(one, facts=replace(one.facts, switched_on_ns=(199 * 10**9,)))
    assert asides(side_by_side([parted, parted]), [], ["a.t2h", "b.t2h"]) == ()


def test_a_page_has_room_for_the_pairs_of_twelve_sets_and_of_more_shows_those_that_matter():
    found = sets(*[0.5 * n for n in range(4)], blocks=2)
    assert shown_pairs(found) == found.pairs
    many = replace(found, pairs=found.pairs * (MOST_PAIRS // 6 + 1))
    kept = {(pair.a, pair.b) for pair in shown_pairs(many)}
    order = by_figure(found)
    assert {tuple(sorted((order[0], other))) for other in order[1:]} <= kept
    assert len(kept) == 5  # three with the quickest, and two more of neighbours


def test_no_sentence_is_left_open():
    for found in (sets(0.0, 0.1), sets(0.0, 9.0), sets(0.0, 3.0, 3.1)):
        for pair in found.pairs:
            for sentence in beside_pair(pair, found.sets, 1.0):
                assert sentence.endswith(".")
                assert "{" not in sentence
