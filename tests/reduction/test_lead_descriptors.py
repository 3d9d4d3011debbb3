"""The interval of a latency follows from what each lead's descriptor says, and from what the probe's own test found."""

import math
from dataclasses import replace

import numpy as np
import pytest

from benchapp.records.leads import Lead
from benchapp.records.run import LeadEvidence
from benchapp.records.stream import COARSE
from benchapp.reduction.flips.budget import COARSE as COARSE_LINE
from benchapp.reduction.flips.budget import LATENESS, STAMPS, TESTED
from benchapp.reduction.recipes import reduce_run
from tests.reduction.made_runs import Made, edges, lead, random_flips

MADE = Made(flips_s=random_flips(40))
IDEAL = lead(0, "switch", resolution_ns=0.001)
CAPTURE = replace(IDEAL, resolution_ns=62.5)
INTERRUPT = replace(CAPTURE, bias_ns=500.0, lateness_typical_ns=812.5, lateness_worst_ns=4_250.0)
SLOW = replace(CAPTURE, lateness_typical_ns=1_000_000.0, lateness_worst_ns=4_000_000.0)


def found(switch: Lead, *, coarse: bool = False):
    made = MADE.switch()
    flags = np.full(made.times_ns.size, COARSE if coarse else 0, np.uint8)
    evidence = LeadEvidence(lead=switch, role="switch", edges=edges(0, made.times_ns, made.levels, flags))
    return reduce_run(MADE.run(leads={"switch": evidence}))


def lines(findings) -> dict[str, float]:
    return {line.source: line.standard_ms for line in findings.uncertainty}


def standard_ms(findings) -> float:
    return findings.result.headline.combined_standard_ms


def half_width_ms(findings) -> float:
    return findings.result.headline.expanded_uncertainty_ms


def test_a_capture_lead_does_not_widen_the_interval():
    ideal, capture = found(IDEAL), found(CAPTURE)
    assert half_width_ms(capture) == pytest.approx(half_width_ms(ideal), rel=1e-6)
    assert capture.result.headline.value_ms == ideal.result.headline.value_ms
    assert lines(capture)[STAMPS] == pytest.approx(62.5e-6 / math.sqrt(12), rel=1e-3)
    assert lines(capture)[LATENESS] == 0.0


def test_not_even_where_its_stamps_were_flagged_for_its_worst_is_as_good():
    capture, flagged = found(CAPTURE), found(CAPTURE, coarse=True)
    assert "coarse-stamps" in flagged.flags
    assert half_width_ms(flagged) == half_width_ms(capture)


@pytest.mark.parametrize("slow", [INTERRUPT, SLOW])
def test_a_late_lead_widens_the_interval_by_its_lateness_and_coarse_stamps_by_its_worst(slow):
    capture, late, coarse = found(CAPTURE), found(slow), found(slow, coarse=True)
    assert half_width_ms(capture) < half_width_ms(late) < half_width_ms(coarse)
    added = standard_ms(late) ** 2 - standard_ms(capture) ** 2
    assert added == pytest.approx((slow.lateness_typical_ns / 1e6) ** 2 / 12, rel=1e-3)
    more = standard_ms(coarse) ** 2 - standard_ms(late) ** 2
    assert more == pytest.approx((slow.lateness_worst_ns / 1e6) ** 2 / 12, rel=1e-3)
    assert lines(coarse)[COARSE_LINE] == pytest.approx(slow.lateness_worst_ns / 1e6 / math.sqrt(12))


def test_a_coarse_lead_of_4_ms_widens_the_interval_for_everyone_to_see():
    assert half_width_ms(found(SLOW, coarse=True)) > 1.2 * half_width_ms(found(CAPTURE))


def test_what_the_probe_s_own_test_found_takes_the_place_of_the_lead_s_promise():
    promised = found(SLOW)
    good = found(replace(SLOW, tested_mean_ns=500_000.0, tested_sd_ns=1_000.0))
    bad = found(replace(SLOW, tested_mean_ns=500_000.0, tested_sd_ns=900_000.0))
    shifted = found(replace(SLOW, tested_mean_ns=1_100_000.0, tested_sd_ns=1_000.0))
    assert half_width_ms(good) < half_width_ms(promised) < half_width_ms(bad)
    assert half_width_ms(promised) < half_width_ms(shifted)
    assert {one.result.headline.value_ms for one in (promised, good, bad, shifted)} == {
        promised.result.headline.value_ms
    }
    assert TESTED not in lines(promised)
    assert lines(bad)[TESTED] == pytest.approx(0.9)
    assert lines(shifted)[TESTED] == pytest.approx(math.hypot(0.6, 0.001))
    assert lines(good)[LATENESS] == 0.0
