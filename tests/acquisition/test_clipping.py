"""Which lead is clipped to what."""

import pytest

from benchapp.acquisition.clipping import clipped, leads_by_role, own_roles
from benchapp.records.errors import WrongCall
from benchapp.records.leads import Lead, LeadKind


def lead(index: int, label: str, role: str = "", kind: LeadKind = LeadKind.EDGE) -> Lead:
    return Lead(index=index, label=label, role=role, kind=kind, resolution_ns=62.5)


LEADS = (
    lead(0, "D8", "output"),
    lead(1, "D2", "switch"),
    lead(2, "D3"),
    lead(8, "A0", "stick", LeadKind.LEVEL),
    lead(9, "D9", "drive", LeadKind.DRIVE),
    lead(10, "D13", "drive", LeadKind.DRIVE),
)


def test_a_role_two_leads_offer_goes_to_the_first():
    assert own_roles(LEADS) == {0: "output", 1: "switch", 8: "stick", 9: "drive"}


def test_a_clip_moves_the_role_to_its_new_lead():
    assert clipped({0: "output", 1: "switch"}, {"D3": "output"}, LEADS) == {1: "switch", 2: "output"}


def test_a_lead_is_found_by_its_label_in_any_case_and_by_its_number():
    assert clipped({}, {"d3": "module"}, LEADS) == {2: "module"}
    assert clipped({}, {"2": "module"}, LEADS) == {2: "module"}


def test_a_lead_that_is_not_there_is_named_with_those_that_are():
    with pytest.raises(WrongCall, match=r"no lead 'D7'; its leads are 'D8', 'D2'"):
        clipped({}, {"D7": "output"}, LEADS)


def test_a_role_that_is_none_is_refused():
    with pytest.raises(WrongCall, match="'elevator'"):
        clipped({}, {"D8": "elevator"}, LEADS)


def test_a_hostile_name_stays_on_one_line():
    with pytest.raises(WrongCall) as refusal:
        clipped({}, {"a\nb\u202e" + "x" * 10_000: "output"}, LEADS)
    assert "\n" not in refusal.value.message
    assert len(refusal.value.message) < 400


def test_a_run_needs_an_output_and_a_control():
    with pytest.raises(WrongCall, match="clipped to the output"):
        leads_by_role({1: "switch"}, LEADS, test="switch-flip")
    with pytest.raises(WrongCall, match="clipped to the switch"):
        leads_by_role({0: "output"}, LEADS, test="switch-flip")
    assert set(leads_by_role({0: "output", 8: "stick"}, LEADS, test="switch-flip")) == {"output", "stick"}


@pytest.mark.parametrize(
    ("roles", "said"),
    [
        ({0: "output", 1: "stick"}, "'D2' is an on-off lead; stick wants a voltage lead"),
        ({8: "output", 1: "switch"}, "'A0' is a voltage lead; output wants an on-off lead"),
        ({0: "output", 1: "switch", 2: "drive"}, "'D3' is an on-off lead; drive wants a driven lead"),
        ({0: "output", 2: "output", 1: "switch"}, "'D8' and 'D3' are both clipped to output"),
    ],
)
def test_a_lead_that_cannot_do_what_its_role_asks_is_refused(roles, said):
    with pytest.raises(WrongCall) as refusal:
        leads_by_role(roles, LEADS, test="switch-flip")
    assert said in refusal.value.message
