"""What the practice bench does for a sweep of the stick."""

from benchapp.probe.practice.hand import Motion
from benchapp.probe.practice.url import with_motion
from benchapp.records.run import RunSettings


def url_for_sweep(url: str, settings: RunSettings) -> str:
    """Return the URL with which the bench's hand moves the stick from end to end, or from mark to mark."""
    if not settings.stops_deg:
        return with_motion(url, Motion.SWEEP)
    return with_motion(url, Motion.STOPS, stops=",".join(f"{deg:.9g}" for deg in settings.stops_deg))


PART = url_for_sweep
