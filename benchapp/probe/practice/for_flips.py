"""What the practice bench does for a test of flips."""

from benchapp.probe.practice.url import with_new_offset
from benchapp.records.run import RunSettings


def url_for_flips(url: str, settings: RunSettings) -> str:
    """Return the URL; over several switch-ons the first one is one of many, its offset drawn like the others'."""
    return with_new_offset(url) if (settings.switch_ons or 1) > 1 else url


PART = url_for_flips
