"""The bounds of what may be asked of a run, and the marks of a sweep by stops that are offered."""

PRESETS = (5, 9, 11, 21)
"""The numbers of even stops that are offered; their marks are on the printed protractor."""
PRESET_TRAVEL_DEG = 30.0
FEWEST_STOPS = 5
MOST_STOPS = 101
MOST_SWITCH_ONS = 100
DEFAULT_HALF_WIDTH_DEG = 0.5
"""A position read off a protractor is right to within this, unless said otherwise (from experience, no source)."""


def preset_stops_deg(count: int) -> tuple[float, ...]:
    """Return so many even positions from -30° to +30°."""
    return tuple(2.0 * PRESET_TRAVEL_DEG * number / (count - 1) - PRESET_TRAVEL_DEG for number in range(count))
