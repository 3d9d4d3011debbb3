"""Which lead is clipped to what, and whether a test can be run with that."""

from collections.abc import Mapping, Sequence

from benchapp.records.errors import WrongCall
from benchapp.records.leads import Lead, LeadKind, is_role
from benchapp.records.named_tests import Roles, named_test

POWER_LEAD = "radio power"
"""The label of a driven lead that holds the transmitter's power."""
_KINDS = {
    "switch": (LeadKind.EDGE, LeadKind.DRIVE),
    "module": (LeadKind.EDGE,),
    "stick": (LeadKind.LEVEL,),
    "horn": (LeadKind.LEVEL,),
    "voltage": (LeadKind.LEVEL,),
    "current": (LeadKind.LEVEL,),
    "drive": (LeadKind.DRIVE,),
}
_WORDS = {LeadKind.EDGE: "an on-off lead", LeadKind.LEVEL: "a voltage lead", LeadKind.DRIVE: "a driven lead"}
_CLIP: Mapping[Roles, str] = {
    ("output",): "Clip one to a servo output of the receiver.",
    ("switch", "stick"): "Clip one to the switch (or the stick) that is moved.",
    ("stick",): "Clip a voltage lead to its potentiometer, or sweep by stops.",
}
"""What to do for a row of needs that no lead meets."""
_LONGEST_NAME = 60


def own_roles(leads: Sequence[Lead]) -> dict[int, str]:
    """Return the roles the descriptor gives, {lead: role}; a role named twice goes to the first lead."""
    roles: dict[int, str] = {}
    for lead in leads:
        if lead.role and lead.role not in roles.values():
            roles[lead.index] = lead.role
    return roles


def clipped(roles: Mapping[int, str], clips: Mapping[str, str], leads: Sequence[Lead]) -> dict[int, str]:
    """Return the roles after clips {a lead's label or number: role} were made; a role moves to its new lead.

    Raises WrongCall for a lead that is not there and for a role that is none.
    """
    changed = dict(roles)
    for name, role in clips.items():
        lead = _named(name, leads)
        if not is_role(role):
            raise WrongCall(
                f"A lead cannot be clipped to {_shown(role)}. The roles are {', '.join(_KINDS)} and output."
            )
        changed = {index: kept for index, kept in changed.items() if kept != role}
        changed[lead.index] = role
    return changed


def leads_by_role(
    roles: Mapping[int, str], leads: Sequence[Lead], *, test: str, by_stops: bool = False
) -> dict[str, Lead]:
    """Return {role: lead} for a run of a test; by_stops: a sweep's positions are typed, not read from a lead.

    Raises WrongCall where a lead cannot do what its role asks, where two leads have one role, and where no lead is
    on the output or on the control the test needs.
    """
    found: dict[str, Lead] = {}
    for lead in leads:
        role = roles.get(lead.index, "")
        if not role:
            continue
        kinds = _KINDS.get(role, (LeadKind.EDGE,))
        if lead.kind not in kinds:
            raise WrongCall(
                f"{_shown(lead.label)} is {_WORDS[lead.kind]}; {role} wants {' or '.join(_WORDS[k] for k in kinds)}."
            )
        if role in found:
            raise WrongCall(
                f"{_shown(found[role].label)} and {_shown(lead.label)} are both clipped to {role}; keep one."
            )
        found[role] = lead
    for row in reversed(named_test(test).missing(found, typed=by_stops)):  # the output is clipped first
        raise WrongCall(f"No lead is clipped to the {row[0]}. {_CLIP.get(row, 'Clip one to it.')}")
    return found


def power_lead(leads: Sequence[Lead]) -> Lead | None:
    """Return the driven lead that holds the transmitter's power, None where the probe has none."""
    return next((lead for lead in leads if lead.kind is LeadKind.DRIVE and lead.label == POWER_LEAD), None)


def _named(name: str, leads: Sequence[Lead]) -> Lead:
    alike = [lead for lead in leads if lead.label == name]
    alike = alike or [lead for lead in leads if lead.label.casefold() == name.casefold()]
    alike = alike or [lead for lead in leads if str(lead.index) == name]
    if len(alike) != 1:
        labels = ", ".join(_shown(lead.label) for lead in leads)
        raise WrongCall(f"The probe has no lead {_shown(name)}; its leads are {labels}.")
    return alike[0]


def _shown(text: str) -> str:
    """Return a stranger's text on one line, clipped."""
    return ascii(text if len(text) <= _LONGEST_NAME else text[:_LONGEST_NAME] + "…")
