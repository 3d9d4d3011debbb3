"""What a run asks of the probe while it goes on."""

from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True, slots=True)
class DriveRequest:
    """The probe is to set the lead of this number, which it drives, to a level at a moment of the session's clock."""

    lead: int
    at_ns: int
    level: int
