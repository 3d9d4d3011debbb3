"""Sets that are alike are called different in at most 5 % of comparisons: the short form of `comparing_coverage`.

Seeds are fixed. A share's bound is 5 % and three standard errors of that many comparisons; found differences are held
to within 5 points and three standard errors of what was simulated when the rule was chosen.
"""

import math

import pytest

from tests.reduction.comparing_coverage import (
    CHOSEN_BY,
    FIXED,
    FREE,
    HALF_SCAN,
    IN_STEP,
    KINDS,
    PLANS,
    SLOWER_FREE,
    alike,
    raced,
    replace,
    seed_of,
    tried,
)

RUNS, RACES = 60, 30


def most(share: float, runs: int) -> float:
    """Return the share, and three standard errors of a share of so many."""
    return share + 3 * math.sqrt(share * (1 - share) / runs)


@pytest.mark.parametrize("plan", PLANS)
@pytest.mark.parametrize("kind", [*KINDS, FIXED])
def test_equal_sets_are_hardly_ever_called_different(kind, plan):
    chain = KINDS.get(kind, IN_STEP)
    found = tried(chain, chain, plan, RUNS, fixed=kind == FIXED, seed=seed_of(kind) + plan[1])
    assert found.different <= most(0.05, RUNS)


@pytest.mark.parametrize("plan", PLANS)
def test_a_difference_of_8_ms_is_found_as_often_as_when_the_rule_was_chosen(plan):
    found = tried(IN_STEP, IN_STEP, plan, RUNS, later_ms=8.0, seed=plan[0])
    _, power, half_ms = CHOSEN_BY[plan]
    share = power / 100
    assert abs(found.different - share) <= 0.05 + 3 * math.sqrt(share * (1 - share) / RUNS)
    assert found.half_ms == pytest.approx(half_ms, rel=0.05)


def test_more_flips_do_nothing_for_a_set_in_step_and_more_switch_ons_do():
    few, many = (tried(IN_STEP, IN_STEP, plan, 20, seed=1).half_ms for plan in ((5, 12), (5, 40)))
    assert many > 0.95 * few
    assert tried(IN_STEP, IN_STEP, (12, 6), 20, seed=1).half_ms < 0.8 * many


@pytest.mark.parametrize("plan", [(3, 20), (8, 12)])
def test_of_six_equal_sets_hardly_ever_one_is_named(plan):
    six = alike([IN_STEP, HALF_SCAN, FREE, SLOWER_FREE, IN_STEP, FREE])
    found = raced(six, [plan] * 6, RACES, true=range(6), seed=plan[0])
    assert found.wrong <= most(0.05, RACES)


def test_the_quickest_is_named_rightly_and_stays_among_those_not_beaten():
    chains = [replace(FREE, path_ms=FREE.path_ms + 1.5 * place) for place in range(4)]
    found = raced(chains, [(5, 12)] * 4, RACES, true=[0], seed=5)
    assert found.wrong <= most(0.05, RACES)
    assert found.kept >= 1 - most(0.05, RACES)
    assert found.named > 0.2
