"""Below what a figure needs, no page shows a large figure: it shows how far the run came."""

from dataclasses import replace

import pytest

from benchapp.presentation.flips.dots import dots
from benchapp.presentation.ground.page import KeyFigure
from benchapp.presentation.live.run_shown import short_prompt
from benchapp.presentation.live.run_view import run_view
from benchapp.presentation.report_page.findings_page import build_page
from benchapp.presentation.report_page.verdict import meaning
from benchapp.procedures.ground.progress import Prompt, RunProgress, StickProgress, StopReason
from benchapp.records.run import Outcome
from tests.presentation import builders
from tests.presentation import stick_builders as sticks


def key_figure(run):
    page = build_page(builders.facts(), builders.findings(run), [])
    (figure,) = [block for block in page.blocks if isinstance(block, KeyFigure)]
    return figure


def plain(text):
    return text.replace("\u00a0", " ")


FEW = {
    "flips": (builders.run(builders.latency(15), flags=("insufficient",)), "15 of 20", "flips"),
    "cycles": (replace(sticks.sweep(cycles=2), flags=("insufficient",)), "2 of 3", "cycles"),
    "pulses": (
        replace(sticks.hold(), flags=("insufficient",), result=replace(sticks.hold().result, pulses=40)),
        "40 of 100",
        "pulses",
    ),
}


@pytest.mark.parametrize("what", FEW)
def test_too_little_data_shows_how_much_there_is_and_no_figure(what):
    run, count, unit = FEW[what]
    figure = key_figure(run)
    assert (plain(figure.value), figure.unit) == (count, unit)
    assert "give or take" not in " ".join((figure.label, figure.spread, *figure.lines))
    assert "µs" not in " ".join(figure.lines)


@pytest.mark.parametrize("what", FEW)
def test_enough_data_shows_the_figure(what):
    figure = key_figure(replace(FEW[what][0], flags=()))
    assert " of " not in plain(figure.value)
    assert float(figure.value) > 0.0


def test_the_dots_of_too_few_flips_are_drawn_without_a_figure():
    few, enough = (dots(builders.latency(count), practice=False) for count in (19, 20))
    assert (few.svg.count("<circle"), enough.svg.count("<circle")) == (19 + 2, 20 + 2)  # two are the key
    assert "± " in enough.svg
    assert "± " not in few.svg
    assert "the figure is" in enough.alt
    assert "the figure is" not in few.alt
    assert "Too few for a figure." in few.caption


ENDS = {
    StopReason.PROBE_LOST: "The probe was lost",
    StopReason.PROBE_RESET: "The probe restarted",
    StopReason.COMPUTER_SLEPT: "The computer slept",
    StopReason.DISK_TROUBLE: "The disk failed",
}


@pytest.mark.parametrize("reason", StopReason)
@pytest.mark.parametrize("stick", [None, StickProgress(cycles=1, cycles_wanted=3)])
def test_only_a_complete_run_is_called_done(reason, stick):
    run = RunProgress(
        run=1, test="", prompt=Prompt.DONE, flips=15, answered=15, outcome=Outcome.CUT_SHORT.value,
        stop_reason=reason.value, stick=stick,
    )  # fmt: skip
    assert run_view(run).prompt == ENDS.get(reason, "Stopped early")
    assert run_view(replace(run, outcome=Outcome.COMPLETE.value)).prompt == "Done"
    assert 1 <= len(short_prompt(run).split()) <= 4


def ended(**facts):
    return run_view(
        RunProgress(run=1, test="", prompt=Prompt.DONE, wanted=60, outcome=Outcome.CUT_SHORT.value, **facts)
    )


def test_a_run_that_ended_with_too_few_says_how_many_and_shows_no_figure():
    told = {"flips": 21, "value_ms": 24.06, "half_width_ms": 0.92, "any_half_width_ms": 13.0}
    few, enough = (ended(answered=answered, **told) for answered in (19, 20))
    assert (plain(few.figure), few.give_or_take, few.beside) == ("19 of 20", "flips that a figure needs", "")
    assert plain(enough.figure) == "24.06 ms"
    swept = {"flips": 0, "answered": 0}
    straight = {"linearity_pct": 1.2, "linearity_u_pct": 0.3, "cycles_wanted": 3}
    few, enough = (ended(stick=StickProgress(cycles=cycles, **straight), **swept) for cycles in (2, 3))
    assert (plain(few.figure), few.give_or_take) == ("2 of 3", "there-and-backs that a figure needs")
    assert plain(enough.figure) == "1.20 %"


@pytest.mark.parametrize("told", [{}, {"linearity_pct": 0.2, "linearity_u_pct": 0.3}])
def test_a_sweep_of_too_few_cycles_has_no_figure_not_even_an_at_most(told):
    few = ended(flips=0, answered=0, stick=StickProgress(cycles=1, cycles_wanted=3, **told))
    assert (plain(few.figure), few.give_or_take) == ("1 of 3", "there-and-backs that a figure needs")


@pytest.mark.parametrize("told_from_probe", [True, False])
def test_a_hold_of_too_few_servo_pulses_shows_how_many_and_neither_spread_nor_range(told_from_probe):
    told = {"held_s": 2.0, "hold_s": 20.0, "sd_us": 0.31, "peak_us": 2.06, "told_from_probe": told_from_probe}
    few, enough = (ended(flips=0, answered=0, stick=StickProgress(pulses=pulses, **told)) for pulses in (99, 100))
    assert (plain(few.figure), few.give_or_take) == ("99 of 100", "servo pulses that a figure needs")
    assert few.last == "–"
    assert (plain(enough.figure), plain(enough.last)) == ("0.31 µs", "2.06 µs")


def test_the_meaning_of_too_few_flips_names_no_figure():
    few, enough = (builders.run(builders.latency(count)) for count in (19, 20))
    assert "the model moves" not in " ".join(meaning(few))
    assert "the model moves" in " ".join(meaning(enough))
