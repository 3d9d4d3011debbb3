"""A probe's clock beside the computer's."""

from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True, slots=True)
class ClockCheck:
    """What a check of the probe's clock against the computer's found.

    error_ppm : how much too fast the probe's tick runs;  standard_ppm : its standard uncertainty, the computer's clock
    included;  expanded_ppm : twice that
    span_s, heartbeats : how long it took and from how many heartbeats
    tolerance_ppm : what the probe's own description allows, None if it says nothing;  inside : whether the error is
    within it, None where that cannot be told
    drift_ppm : by how much the rate changed from the first third to the last, None where the check was too short;
    drift_standard_ppm : its standard uncertainty;  warming : whether that is more than chance
    """

    serial: str
    error_ppm: float
    standard_ppm: float
    expanded_ppm: float
    span_s: float
    heartbeats: int
    tolerance_ppm: float | None
    inside: bool | None
    drift_ppm: float | None
    drift_standard_ppm: float | None
    warming: bool


@dataclass(frozen=True, kw_only=True, slots=True)
class ClockProgress:
    """How far a check is; error_ppm and expanded_ppm so far, None in its first seconds."""

    elapsed_s: float
    total_s: float
    error_ppm: float | None = None
    expanded_ppm: float | None = None
