"""What a sweep and a hold say in sentences: true, plain, and silent where nothing can be told."""

from dataclasses import replace

import pytest

from benchapp.presentation.findings_page import build_page
from benchapp.presentation.hold_verdict import hold_verdict
from benchapp.presentation.sweep_facts import expected_flip_ms, flat_pct
from benchapp.presentation.verdict import meaning, verdict
from benchapp.records.sweep_findings import Linearity, Steadiness
from tests.presentation import builders
from tests.presentation import stick_builders as sticks
from tests.presentation.page_reading import whole_text


def plain(*sentences: str) -> str:
    return " ".join(sentences).replace("\u00a0", " ")


def with_figures(run=None, **changes):
    run = run or sticks.sweep()
    return replace(run, linearity=replace(run.linearity, **changes))


def straight(run, pct):
    line = replace(run.linearity.lines["independent"], deviation_pct=pct)
    return {**run.linearity.lines, "independent": line}


def test_a_hobbyist_reads_how_straight_the_travel_is_and_what_is_lost_round_the_centre() -> None:
    run = sticks.sweep()
    run = with_figures(
        run, lines=straight(run, 0.4), expanded_uncertainty_pct=0.06, centre_flat_pct_of_input=1.1, step_us=1.0
    )
    assert plain(verdict(run)) == (
        "Your stick's travel is straight to within 0.400 % of full travel, give or take 0.060 %; around the centre "
        "1.1 % of stick movement does nothing."
    )


@pytest.mark.parametrize(
    ("flat", "said"), [(0.2, "even the smallest movement shows"), (0.3, "0.3 % of stick movement")]
)
def test_a_flat_no_wider_than_two_steps_is_the_stair_itself(flat: float, said: str) -> None:
    run = with_figures(centre_flat_pct_of_input=flat, step_us=1.0, span_us=800.0)
    assert (flat_pct(run.linearity) == 0.0) is (flat <= 0.25)
    assert said in plain(verdict(run))


def test_without_a_flat_nothing_is_said_of_the_centre() -> None:
    assert "centre" not in verdict(with_figures(centre_flat_pct_of_input=None))


def test_too_few_cycles_say_how_many_there_are_and_the_figure_so_far() -> None:
    said = plain(verdict(sticks.sweep(cycles=1)))
    assert said.startswith("Not enough data: one of the three full cycles")
    assert "So far your stick's travel is straight to within" in said


@pytest.mark.parametrize(
    ("note", "said"),
    [
        ("no-stick-samples", "recorded nothing"),
        ("stick-never-moved", "not moved from end to end"),
        ("output-did-not-follow", "did not follow"),
        ("too-few-positions", "fewer than two positions"),
    ],
)
def test_without_a_curve_the_reason_is_the_verdict(note: str, said: str) -> None:
    run = replace(
        sticks.sweep(), linearity=Linearity(against="stick-voltage", x_unit="V", cycles=0, positions=0), notes=(note,)
    )
    assert verdict(run).startswith("Cannot tell how straight")
    assert said in verdict(run)
    assert meaning(run) == ()


def test_where_lag_and_hysteresis_are_not_told_apart_neither_is_given() -> None:
    said = plain(*meaning(sticks.sweep(cycles=1)))
    assert "cannot be told apart" in said
    assert "earlier" not in said
    assert "differs by up to" not in said


def test_a_difference_inside_the_noise_is_not_called_one() -> None:
    said = plain(*meaning(with_figures(hysteresis_resolved=False)))
    assert "may be noise alone" in said
    assert "differs by up to" not in said


def test_the_lag_is_held_against_the_flips_of_the_same_session() -> None:
    run, flips = sticks.sweep(), replace(builders.run(), run=7)
    expected = expected_flip_ms(run)
    assert expected == pytest.approx(18.0 + 4.5 + 1.5, abs=0.3)
    alone, beside = plain(*meaning(run)), plain(*meaning(run, [flips]))
    assert "the flips of run 7 took" in beside
    assert "the flips" not in alone
    headline = flips.latency.headline
    assert abs(headline.value_ms - expected) > headline.expanded_uncertainty_ms
    away = f"{abs(headline.value_ms - expected):.2g} ms {'more' if headline.value_ms > expected else 'less'}"
    assert away in beside
    assert "may read its switches at other times" in beside
    latency = replace(flips.latency, headline=replace(headline, value_ms=expected + 0.1))
    assert "the same within their give or take" in plain(*meaning(run, [replace(flips, latency=latency)]))


def test_clipping_and_a_curve_that_goes_back_are_said() -> None:
    assert "At the low end the servo pulse stops before" in plain(*meaning(with_figures(clipped_low=True)))
    assert "At both ends" in plain(*meaning(with_figures(clipped_low=True, clipped_high=True)))
    assert "goes back while the stick goes on" in plain(*meaning(with_figures(monotonic=False)))
    assert "goes back" not in plain(*meaning(sticks.sweep()))


def test_by_stops_nothing_is_said_of_what_moves() -> None:
    said = plain(verdict(sticks.stops()), *meaning(sticks.stops()))
    assert "differs by up to" in said
    for word in ("lag", "told apart", "around the centre", "turns back"):
        assert word not in said


def test_a_hold_in_which_the_stick_moved_claims_nothing_of_the_output() -> None:
    run = sticks.hold()
    run = replace(run, steadiness=replace(run.steadiness, stick_moved=True), notes=("stick-moved",))
    said = plain(verdict(run))
    assert said.startswith("Cannot tell how steady the servo pulse is: the stick moved")
    assert "wandered" not in said
    page = whole_text(build_page(builders.facts(), builders.findings(run), []))
    assert "Longest less shortest servo pulse; the stick moved" in page
    assert "Wander of the servo pulse while nothing was touched" not in page


def test_a_hold_says_how_far_the_pulse_wandered() -> None:
    run = sticks.hold()
    assert plain(verdict(run)).startswith("With nothing touched for 20 s, the servo pulse wandered by ")
    assert "usual full travel of 1000 µs" in plain(*meaning(run))
    assert "full travel of this session's sweep" in plain(*meaning(run, [sticks.sweep()]))


def test_a_hold_that_changed_nothing_or_saw_nothing_says_so() -> None:
    run = sticks.hold()
    still = replace(run.steadiness, peak_to_peak_us=0.0)
    assert "did not change at all" in hold_verdict(run, still)
    nothing = replace(run, steadiness=Steadiness(pulses=0, held_s=3.0))
    assert "none came" in verdict(nothing)
    assert meaning(nothing) == ()
    few = replace(run, flags=("insufficient",))
    assert "of the 100 that a figure needs" in verdict(few)


def test_a_drift_that_chance_could_make_is_not_called_one() -> None:
    run = sticks.hold()
    calm = replace(run.steadiness, drift_us_per_min=0.1, drift_u_us_per_min=0.1)
    moving = replace(run.steadiness, drift_us_per_min=-0.5, drift_u_us_per_min=0.1)
    assert "could be told from chance" in plain(*meaning(replace(run, steadiness=calm)))
    assert "grew shorter, by 0.50 µs a minute" in plain(*meaning(replace(run, steadiness=moving)))
