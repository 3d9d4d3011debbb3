"""What a lane writes on itself: the scale of its lengths or volts, and what is under the pointer."""

from benchapp.presentation.ground.numbers import at_places, with_unit

TOO_DENSE = "too close to draw: zoom in"


def length_mark(ms: float) -> str:
    """Return a mark of the scale of pulse lengths."""
    return with_unit(ms, 1, "ms")


def volt_mark(volts: float) -> str:
    """Return a mark of the scale of volts."""
    return with_unit(volts, 1, "V")


def pulse_length(ms: float) -> str:
    """Return a pulse's length as it is written on it."""
    return at_places(ms, 2)


def pulse_reading(ms: float) -> str:
    """Return the length of the pulse under the pointer."""
    return with_unit(ms, 3, "ms")


def volt_reading(volts: float) -> str:
    """Return the volts under the pointer."""
    return with_unit(volts, 2, "V")


def state_reading(*, high: bool, seconds: float) -> str:
    """Return how long a lead stood as it does under the pointer."""
    length = with_unit(seconds, 3, "s") if seconds >= 0.1 else with_unit(seconds * 1e3, 3, "ms")
    return f"{'high' if high else 'low'} for {length}"
