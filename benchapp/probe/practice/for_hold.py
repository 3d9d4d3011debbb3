"""What the practice bench does for a hold."""

from benchapp.probe.practice.hand import Motion
from benchapp.probe.practice.url import with_motion
from benchapp.records.run import RunSettings

HOLD_MARGIN_S = 3.0
LONGEST_STOP_S = 600.0
"""The practice hand holds a position this much longer than the test asks for, and no longer than that."""


def url_for_hold(url: str, settings: RunSettings) -> str:
    """Return the URL with which the bench's hand leaves the stick alone, or holds it at several positions."""
    if (settings.positions or 1) == 1:
        return with_motion(url, Motion.STILL)
    stop_s = min((settings.seconds or 0.0) + HOLD_MARGIN_S, LONGEST_STOP_S)
    return with_motion(url, Motion.STOPS, stops=str(settings.positions), stop_s=f"{stop_s:.6g}")


PART = url_for_hold
