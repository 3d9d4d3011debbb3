"""What a sweep and a hold say in sentences: true, plain, and silent where nothing can be told."""

from dataclasses import replace

import pytest

from benchapp.presentation.ground.page import KeyFigure, Table
from benchapp.presentation.ground.stick_facts import expected_flip_ms, flat_pct
from benchapp.presentation.hold.hold_verdict import hold_verdict
from benchapp.presentation.report_page.findings_page import build_page
from benchapp.presentation.report_page.verdict import meaning, verdict
from benchapp.presentation.sweep.sweep_rows import row_places, sweep_rows
from benchapp.records.sweep_findings import Linearity, Steadiness
from tests.presentation import builders
from tests.presentation import stick_builders as sticks
from tests.presentation.page_reading import whole_text


def plain(*sentences: str) -> str:
    return " ".join(sentences).replace("\u00a0", " ")


def with_figures(run=None, **changes):
    run = run or sticks.sweep()
    return replace(run, result=replace(run.result, **changes))


def straight(run, pct, u_pct=0.06):
    line = replace(run.result.lines["independent"], deviation_pct=pct, expanded_u_pct=u_pct)
    return {**run.result.lines, "independent": line}


def test_a_hobbyist_reads_how_straight_the_travel_is_and_what_is_lost_round_the_centre() -> None:
    run = sticks.sweep()
    run = with_figures(run, lines=straight(run, 0.4), smooth_curve=False, centre_flat_pct_of_input=1.1, step_us=1.0)
    assert plain(verdict(run)) == (
        "Your stick's travel is straight to within 0.400 % of full travel, give or take 0.060 %; around the centre "
        "1.1 % of stick movement does nothing."
    )


@pytest.mark.parametrize(
    ("flat", "said"), [(0.2, "even the smallest movement shows"), (0.3, "0.3 % of stick movement")]
)
def test_a_flat_no_wider_than_two_steps_is_the_stair_itself(flat: float, said: str) -> None:
    run = with_figures(centre_flat_pct_of_input=flat, centre_flat_resolved=True, step_us=1.0, span_us=800.0)
    assert (flat_pct(run.result) == 0.0) is (flat <= 0.25)
    assert said in plain(verdict(run))


@pytest.mark.parametrize(
    ("u_pct", "places"), [(1.2, (2, 2)), (0.3, (2, 3)), (0.0123, (2, 3)), (15.0, (0, 1)), (None, (2, 3))]
)
def test_the_rows_have_one_digit_more_than_the_give_or_take_at_most(u_pct, places) -> None:
    # With a span of 800 µs: 9.6, 2.4, 0.098 and 120 µs; two digits (JCGM 100:2008, 7.2.6) and one more.
    run = with_figures(expanded_uncertainty_pct=u_pct, span_us=800.0)
    assert row_places(run.result) == places
    (table,) = [
        made
        for made in build_page(builders.facts(), builders.findings(run), []).blocks
        if isinstance(made, Table) and made.key.endswith("straightness")
    ]
    for cell, decimals in zip(table.rows[0][1:3], places, strict=True):
        assert len(cell.text.partition(".")[2]) == decimals


def test_without_a_flat_nothing_is_said_of_the_centre() -> None:
    assert "centre" not in verdict(with_figures(centre_flat_pct_of_input=None))


def test_too_few_cycles_say_how_many_there_are_and_no_straightness() -> None:
    run = sticks.sweep(cycles=2)
    few = replace(run, flags=("insufficient", *run.flags))
    said = plain(verdict(few))
    assert said == "Not enough data: two of the three full cycles, there and back, that a figure needs."
    assert "straight" not in plain(*meaning(few))
    assert "Full travel takes the servo pulse from" in plain(*meaning(few))
    assert "from the best straight line" in plain(*meaning(replace(run, flags=())))


def test_too_few_servo_pulses_say_what_came_and_no_spread() -> None:
    run = sticks.hold()
    few = replace(run, flags=("insufficient", *run.flags), result=replace(run.result, pulses=40))
    assert plain(verdict(few)) == "Not enough data: 40 servo pulses of the 100 that a figure needs."
    said = plain(*meaning(few))
    assert "A servo pulse came every" in said
    for words in ("probe's own", "longest pulse", "drift", "grew"):
        assert words not in said
    assert "longest pulse" in plain(*meaning(replace(run, flags=())))


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
        sticks.sweep(), result=Linearity(against="stick-voltage", x_unit="V", cycles=0, positions=0), notes=(note,)
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
    expected = expected_flip_ms(run, run.result)
    assert expected == pytest.approx(18.0 + 4.5 + 1.5, abs=0.3)
    alone, beside = plain(*meaning(run)), plain(*meaning(run, [flips]))
    assert "the flips of run 7 took" in beside
    assert "the flips" not in alone
    headline = flips.result.headline
    assert abs(headline.value_ms - expected) > headline.expanded_uncertainty_ms
    away = f"{abs(headline.value_ms - expected):.2g} ms {'more' if headline.value_ms > expected else 'less'}"
    assert away in beside
    assert "may read its switches at other times" in beside
    latency = replace(flips.result, headline=replace(headline, value_ms=expected + 0.1))
    assert "the same within their give or take" in plain(*meaning(run, [replace(flips, result=latency)]))


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
    run = replace(run, result=replace(run.result, stick_moved=True), notes=("stick-moved",))
    said = plain(verdict(run))
    assert said.startswith("Cannot tell how steady the servo pulse is: the stick moved")
    assert "spread by" not in said
    page = whole_text(build_page(builders.facts(), builders.findings(run), []))
    assert "Spread of the servo pulse; the stick moved" in page
    assert "Spread of the servo pulse while nothing was touched" not in page


def test_a_hold_leads_with_its_spread_between_its_limits_and_holds_the_range_against_the_time_held() -> None:
    run = sticks.hold()
    assert plain(verdict(run)) == (
        "With nothing touched for 20 s, the servo pulse spread by 0.397 µs, 95 % sure between 0.386 µs and 0.409 µs "
        "(standard deviation)."
    )
    said = plain(*meaning(run))
    assert "The probe's own share of that is 0.026 µs" in said
    assert "In 20 s the longest pulse less the shortest was 2.6 µs" in said
    assert "compare it only between holds of the same length" in said


def test_the_large_figure_of_a_hold_has_two_digits_so_that_it_fits_beside_its_drawing() -> None:
    page = build_page(builders.facts(), builders.findings(sticks.hold()), [])
    (figure,) = [block for block in page.blocks if isinstance(block, KeyFigure)]
    assert (figure.value, figure.unit) == ("0.40", "µs")
    assert plain(figure.spread) == "95 % sure between 0.386 µs and 0.409 µs"


def test_a_hold_below_twice_the_probe_s_own_spread_is_steadier_than_the_probe_can_tell() -> None:
    run = sticks.hold()
    still = replace(run, result=replace(run.result, sd_us=0.03, sd_ci95_us=(0.02, 0.04), told_from_probe=False))
    assert plain(verdict(still)).startswith(
        "With nothing touched for 20 s, the servo pulse was steadier than the probe can tell: its spread is below "
    )
    page = whole_text(build_page(builders.facts(), builders.findings(still), []))
    assert "steadier than the probe can tell" in page
    assert "wander" not in page.replace("wandering", "").lower()


def test_a_deviation_below_its_give_or_take_is_given_as_the_most_it_can_be() -> None:
    run = sticks.sweep()
    known = {"smooth_curve": False, "centre_flat_pct_of_input": None, "cubic_pct": 0.01, "cubic_us": 0.08}
    run = with_figures(run, lines=straight(run, 0.02, 0.07), **known)
    assert plain(verdict(run)) == "Your stick's travel is straight to within 0.090 % of full travel at most."
    page = whole_text(build_page(builders.facts(), builders.findings(run), [])).replace("\u00a0", " ")
    assert "give or take 0.070" not in page
    assert "at most: less than can be told from straight" in page


def test_a_smooth_curve_is_called_one_and_nothing_is_said_to_do_nothing_round_its_shallow_centre() -> None:
    run = sticks.sweep(expo=0.3, flat_pct=0.0, hysteresis_us=0.0, play_pct=0.0)
    said = plain(verdict(run))
    assert "a smooth curve, as an expo setting gives; off it by at most 0." in said
    assert "does nothing" not in said
    bent = sticks.sweep(expo=0.3, flat_pct=1.5, hysteresis_us=0.0, play_pct=0.0)
    assert "% of stick movement does nothing" in plain(verdict(bent))


def test_a_fitted_hysteresis_below_its_give_or_take_is_given_as_the_most_it_can_be() -> None:
    rows = {row.name: row for row in sweep_rows(sticks.sweep(hysteresis_us=0.0, play_pct=0.0, expo=0.0).result)}
    assert plain(rows["Hysteresis fitted with the lag"].sure).startswith("at most 0.0")


def test_repeats_and_play_within_the_noise_are_said_to_be_no_more_than_that() -> None:
    said = plain(*meaning(sticks.sweep(expo=0.0, flat_pct=0.0, hysteresis_us=0.0, play_pct=0.0)))
    assert "comes back as closely as can be told: what it differs by is not above the probe's own" in said
    assert "the servo pulse turns with it, after at most 0." in said
    apart = with_figures(
        repeatability_resolved=True, repeatability_us=1.6, repeatability_pct=0.2, repeatability_ci95_pct=(0.15, 0.3)
    )
    assert "a standard deviation of 1.6 µs, 0.2 % of full travel (95 % sure: 0.15 to 0.30 %)" in plain(*meaning(apart))


def test_values_that_came_again_while_the_stick_moved_on_are_said() -> None:
    said = plain(*meaning(with_figures(repeated_values=400, repeated_of=800)))
    assert "400 servo pulses of 800 (50 %) said the same as the one before" in said
    assert "said the same" not in plain(*meaning(with_figures(repeated_values=0, repeated_of=800)))


def test_a_hold_is_held_against_a_span() -> None:
    run = sticks.hold()
    assert "usual full travel of 1000 µs" in plain(*meaning(run))
    assert "full travel of this session's sweep" in plain(*meaning(run, [sticks.sweep()]))


def test_a_hold_that_changed_nothing_or_saw_nothing_says_so() -> None:
    run = sticks.hold()
    still = replace(run.result, peak_to_peak_us=0.0)
    assert "did not change at all" in hold_verdict(run, still)
    nothing = replace(run, result=Steadiness(pulses=0, held_s=3.0))
    assert "none came" in verdict(nothing)
    assert meaning(nothing) == ()
    few = replace(run, flags=("insufficient",))
    assert "of the 100 that a figure needs" in verdict(few)


def test_a_drift_that_chance_could_make_is_not_called_one() -> None:
    run = sticks.hold()
    calm = replace(run.result, drift_us_per_min=0.1, drift_half_us_per_min=0.2, drift_resolved=False)
    moving = replace(run.result, drift_us_per_min=-0.5, drift_half_us_per_min=0.2, drift_resolved=True)
    assert "could be told from chance" in plain(*meaning(replace(run, result=calm)))
    assert "grew shorter, by 0.50 µs a minute" in plain(*meaning(replace(run, result=moving)))
