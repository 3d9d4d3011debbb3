"""What a probe found about its own leads: each edge it drove, stamped on the way out and again on the way in."""

from dataclasses import dataclass
from enum import StrEnum


@dataclass(frozen=True, kw_only=True, slots=True)
class LeadTest:
    """One edge lead with a wire from the drive lead.

    driven : edges the probe made;  seen : those that came in on this lead;  strays : edges nobody made
    mean_ns, sd_ns, earliest_ns, latest_ns : how much later than the drive lead's stamp the lead's own came, biases
    subtracted; None where fewer than two were seen
    coarse : how many stamps were flagged;  keeps_promise : nothing lost or strayed, and none outside what the
    descriptors of the two leads allow
    """

    index: int
    label: str
    driven: int
    seen: int
    strays: int
    mean_ns: float | None
    sd_ns: float | None
    earliest_ns: float | None
    latest_ns: float | None
    coarse: int
    keeps_promise: bool


@dataclass(frozen=True, kw_only=True, slots=True)
class SelfTest:
    """All tested leads of one probe, by index. tested_on is the date, ISO 8601."""

    serial: str
    program: str
    tested_on: str
    leads: tuple[LeadTest, ...]


class SelfTestStep(StrEnum):
    """What a probe's self-test is doing."""

    GREET = "greet"
    JUMPER = "jumper"
    MEASURE = "measure"


@dataclass(frozen=True, kw_only=True, slots=True)
class SelfTestProgress:
    """How far a probe's self-test has come.

    drive : the drive lead's label;  lead : the lead that is measured, "" while a wire is waited for
    done, total : edges of the lead that is measured;  left : labels still to be tested
    crowd : labels of leads that follow the drive lead together: all but one of the wires must come off
    tested : what was found so far
    """

    step: SelfTestStep
    drive: str = ""
    lead: str = ""
    done: int = 0
    total: int = 0
    left: tuple[str, ...] = ()
    crowd: tuple[str, ...] = ()
    tested: tuple[LeadTest, ...] = ()
