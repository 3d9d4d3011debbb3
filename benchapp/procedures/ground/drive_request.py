"""What a run asks of the probe while it goes on."""

from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True, slots=True)
class DriveRequest:
    """The probe is to set a lead it drives to a level at a moment of the session's clock [ns]."""

    at_ns: int
    level: int
