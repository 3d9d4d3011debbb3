"""A set of one session has that session's own figure: a number exists once."""

import pytest

from benchapp.desk.comparing import compared_session
from benchapp.desk.loading import load
from benchapp.records.findings import Latency
from benchapp.reduction.comparing.comparing import WantedSet, compare
from tests.whole.kept_figures import SESSIONS


@pytest.mark.parametrize(
    "stem", ["in-step-5-by-12", "in-step-59", "in-step-60", "free-8-by-6", "free-two-switch-ons", "locked-24"]
)
def test_the_figure_of_a_set_of_one_session_is_the_session_s_own_for_any_switch_on(stem):
    session = compared_session(load(SESSIONS / f"{stem}.t2h"))
    sets = [WantedSet(name=name, sessions=(0,)) for name in ("one", "other")]
    found = compare([session, session], sets)
    own = session.findings.runs[0].own(Latency)
    figure = found.sets[0].figure
    assert figure.value_ms == own.any_switch_on.value_ms
    assert figure.standard_ms == pytest.approx(own.any_switch_on.combined_standard_ms, rel=1e-12)
    assert figure.wide_ms == pytest.approx(own.any_switch_on.expanded_uncertainty_ms, rel=1e-12)
    endless = float("inf")
    assert (figure.dof or endless) == pytest.approx(own.any_switch_on.dof or endless, rel=1e-12)
    assert figure.keeps_step == own.keeps_step
    assert figure.rule == own.any_switch_on.rule
    assert len(found.sets[0].power_ups) == own.switch_ons
    assert {(line.source, line.standard_ms) for line in figure.lines} == {
        (line.source, line.standard_ms) for line in own.any_switch_on.lines
    }
