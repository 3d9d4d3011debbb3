"""The probe's test of itself: what it finds on a board whose lateness is known, and what it says of a bad one."""

import math

import pytest

from benchapp.probe.conversation import Conversation
from benchapp.probe.self_test import EDGES, run_self_test
from benchapp.records.errors import ProbeTrouble, StoppedByHand
from benchapp.records.self_test import SelfTestProgress, SelfTestStep
from tests.probe.jumpered_probe import LEADS, JumperedProbe, VirtualLink


def outcome(probe: JumperedProbe, *, stop=lambda told: False, edges: int = EDGES):
    told: list[SelfTestProgress] = []
    talk = Conversation(VirtualLink(probe))
    found = run_self_test(talk, tell=told.append, stop=lambda: stop(told), edges=edges)
    talk.close()
    return found, told


def turns(first_ms: float):
    """The wire goes to D8, then, after so long, to D2."""
    return lambda ms: (0,) if ms < first_ms else (1,)


def test_both_leads_are_recognised_by_themselves_and_their_lateness_is_found():
    # D2 is 0 to 13 ticks late, each alike: mean 6.5 ticks, standard deviation sqrt((14^2 - 1) / 12) = 4.03 ticks
    probe = JumperedProbe(wired=turns(9000), late=lambda lead, draw: draw.randrange(14) if lead else 0)
    (output, switch), told = outcome(probe)
    assert (output.label, output.driven, output.seen, output.strays) == ("D8", EDGES, EDGES, 0)
    assert (output.mean_ns, output.sd_ns, output.keeps_promise) == (0.0, 0.0, True)
    assert (switch.label, switch.seen, switch.keeps_promise) == ("D2", EDGES, True)
    assert abs(switch.mean_ns - 6.5 * 62.5) < 4 * 4.03 * 62.5 / math.sqrt(EDGES)
    assert abs(switch.sd_ns - 4.03 * 62.5) < 0.2 * 4.03 * 62.5
    assert 0.0 <= switch.earliest_ns < switch.latest_ns <= 13 * 62.5 + 1
    assert [one.lead for one in told if one.step is SelfTestStep.MEASURE][::EDGES] == ["D8", "D2"]
    assert told[1].left == ("D8", "D2")
    assert told[-1].left == ("D2",)


def test_the_wires_may_come_in_any_order():
    probe = JumperedProbe(wired=lambda ms: (1,) if ms < 9000 else (0,))
    found, told = outcome(probe)
    assert [one.label for one in found] == ["D8", "D2"]
    assert next(one.lead for one in told if one.lead) == "D2"


@pytest.mark.parametrize(
    ("facts", "seen"),
    [
        ({"late": lambda _lead, _draw: 200}, EDGES),
        ({"late": lambda _lead, draw: -20 if draw.random() < 0.05 else 0}, EDGES),
        ({"loses": 30}, EDGES - 4),
    ],
)
def test_a_lead_that_is_too_late_too_early_or_loses_edges_does_not_keep_its_promise(facts, seen):
    (lead,), _ = outcome(JumperedProbe(**facts), stop=lambda told: bool(told) and bool(told[-1].tested))
    assert abs(lead.seen - seen) <= 1
    assert not lead.keeps_promise


def test_a_stop_keeps_the_leads_that_were_tested_and_before_the_first_there_is_nothing():
    (lead,), _ = outcome(JumperedProbe(), stop=lambda told: bool(told) and bool(told[-1].tested))
    assert lead.label == "D8"
    with pytest.raises(StoppedByHand, match="before any lead was tested"):
        outcome(JumperedProbe(wired=lambda _ms: ()), stop=lambda told: len(told) > 20)


def test_two_wires_at_once_are_named():
    probe = JumperedProbe(wired=lambda _ms: (0, 1))
    told: list[SelfTestProgress] = []
    with pytest.raises(StoppedByHand):
        run_self_test(Conversation(VirtualLink(probe)), tell=told.append, stop=lambda: len(told) > 10)
    assert told[-1].crowd == ("D8", "D2")
    assert told[-1].step is SelfTestStep.JUMPER


def test_a_probe_that_does_not_drive_has_no_drive_lead_or_starts_anew_is_a_trouble():
    with pytest.raises(ProbeTrouble, match="was asked 5 times to move D9"):
        outcome(JumperedProbe(deaf_drive=True))
    with pytest.raises(ProbeTrouble, match="names no lead that flips"):
        outcome(JumperedProbe(leads=LEADS[:2]))
    probe = JumperedProbe()
    probe.reset_at_ms = 2000
    with pytest.raises(ProbeTrouble, match="started anew in the middle"):
        outcome(probe)
