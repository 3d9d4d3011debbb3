"""Which version of the reduction a session was recorded with, and what it means where that is another one."""

import re

from benchapp.records.findings import SessionFindings
from benchapp.records.run import SessionFacts

_REDUCTION = re.compile(r", reduction (\d{1,6})$")


def recorded_with(software: str) -> int:
    """Return the reduction's version that `software` names; 1 where it names none, as it did at first."""
    match = _REDUCTION.search(software)
    return int(match[1]) if match else 1


def other_version(facts: SessionFacts, findings: SessionFindings) -> str:
    """Return the line that stands over a session recorded with another version of the reduction; "" where it is this.

    Findings are computed anew whenever a session is opened; what was printed or written down earlier is not.
    """
    then, now = recorded_with(facts.software), findings.version
    if then == now or not findings.runs:
        return ""
    newer = "newer" if then > now else "earlier"
    return (
        f"This session was recorded with version {then} of the reduction, {newer} than version {now} which made the "
        "figures here: figures of both may differ, so compare only what one version made."
    )
