"""What the stop rules are told of the figure of a run that goes on."""

import math

import pytest

from benchapp.desk.loading import load
from benchapp.procedures.flips.figure_so_far import figure_of
from benchapp.reduction.flips.budget import SAMPLING, SWITCH_ON_LINE
from tests.whole.kept_figures import SESSIONS


@pytest.mark.parametrize(
    ("session", "switch_ons"), [("in-step-60", 0), ("free-two-switch-ons", 0), ("in-step-5-by-12", 5)]
)
def test_a_mean_over_switch_ons_is_narrowed_by_switch_ons_and_another_figure_by_flips(session, switch_ons):
    loaded = load(SESSIONS / f"{session}.t2h")
    so_far = figure_of(loaded.runs[0]).so_far(60)
    assert so_far.switch_ons == switch_ons
    found = loaded.findings.runs[0]
    narrowed = {SAMPLING, SWITCH_ON_LINE} if switch_ons else {SAMPLING}
    rest = math.hypot(*(line.standard_ms for line in found.uncertainty if line.source not in narrowed))
    assert so_far.rest_ms == pytest.approx(found.result.headline.k * rest)
    assert so_far.rest_ms < 0.1 * so_far.half_width_ms
