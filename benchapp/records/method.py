"""Numbers of the method that several rooms go by, each in one place with its unit and where it is from."""

SHORTEST_WINDOW_NS = 500_000_000
WINDOW_FRAMES = 20
"""An answer is waited for as long as the longer of half a second and twenty frames (from experience, no source)."""
FEWEST_ANSWERED = 20
"""Answered flips below which no figure stands: the interval of a mean of fewer hangs on the shape of their law."""
FEWEST_CYCLES = 3
"""There-and-backs below which no straightness stands: repeatability needs to see each position more than twice."""
FEWEST_HELD_PULSES = 100
"""Pulses below which no spread stands: it is known to no better than 7 % (1/√2n)."""
NOMINAL_CENTRE_US = 1500.0
"""The pulse that stands for the middle (common practice, no source)."""
SEEN_LATE_NS = 200_000_000
"""A touch begins up to this long before it is seen: what lies between a pause and a touch this soon was not held."""


def answer_window_ns(period_ns: float) -> float:
    """Return how long after a flip an answer is waited for, [ns], from the frame's period [ns]."""
    return max(float(SHORTEST_WINDOW_NS), WINDOW_FRAMES * period_ns)
