"""The values in the wiring drawings, and the arithmetic behind them.

What is typed here and not computed is a fact of the trade: common practice, no source, unless a line says otherwise.
"""

import math

BOARD_V = 5.0
CLAMP_V = 0.6  # what an unpowered input's clamp diode keeps a line at
LED_V = 1.2  # an infrared diode at some milliamperes
CONTACT_PULL_UP_OHM = 40_000.0  # the pull-up inside a transmitter's processor
CONTACT_V = 3.3
PACK_V = 8.4  # two cells of a receiver's pack, full

SERIES_OHM = 4_700.0
FUSE_OHM = 100.0  # in the 5 V that leaves the board
GATE_OHM = 10_000.0
PULL_UP_OHM = 10_000.0
GATE_CAPACITY_F = 100e-12  # the most that is asked of the small transistor
GATE_STANDS_V = 20.0
GATE_OPENS_V = 2.5  # where the small transistor is sure to be on
DRAIN_CAPACITY_F = 50e-12
STICK_OHM = 1_000_000.0
BARE_STICK_OHM = 100_000.0
TRACK_USED = 1 / 3  # of its potentiometer's track, by a stick from end to end
DIVIDER_OHM = (33_000.0, 10_000.0)
MODULE_DIVIDER_OHM = (47_000.0, 47_000.0)
OPTO_OHM = (2_200.0, 4_700.0)
OPTO_BASE_OHM = 470_000.0
OPTO_TRANSFER = 0.5  # the least of its lamp's current that a coupler passes on
OPTO_GAIN = 200.0  # of the transistor in it
GATE_LAMP_OHM = 330.0
GATE_PULL_UP_OHM = 47_000.0
SHUNTS = ((0.1, 20.0, 2.0), (0.02, 100.0, 3.0))  # ohms, gain, watts
STALL_A = 5.0  # what a strong servo takes when it stalls; some take twice that
SERVO_OHM = (1_000.0, 10_000.0)  # in the signal, and from the signal to ground
LOW_SHARE, HIGH_SHARE = 0.3, 0.6  # of its supply: sure to read low, high (data sheet of the ATmega328P)
USB_V = (5.0, 5.25)
PIN_MA = 20.0  # what a pin may give (data sheet of the ATmega328P, recommended conditions)


def clamped_v(open_v: float, source_ohm: float, series_ohm: float) -> float:
    """Return what a line falls to that is tied through a resistor to an input without power."""
    if open_v <= CLAMP_V:
        return open_v
    return CLAMP_V + (open_v - CLAMP_V) * series_ohm / (source_ohm + series_ohm)


def stick_shift(pot_ohm: float, series_ohm: float, supply_v: float = CONTACT_V) -> float:
    """Return by which share of the potentiometer's supply a stick in its middle shifts when the probe has no power."""
    middle_v = supply_v / 2
    return (middle_v - clamped_v(middle_v, pot_ohm / 4, series_ohm)) / supply_v


def divided(volts: float, upper_ohm: float, lower_ohm: float) -> float:
    """Return what a divider makes of a voltage."""
    return volts * lower_ohm / (upper_ohm + lower_ohm)


def divider_limit_v(upper_ohm: float, lower_ohm: float, full_v: float = BOARD_V) -> float:
    """Return the voltage at which the lead's full scale is reached."""
    return full_v * (upper_ohm + lower_ohm) / lower_ohm


def divider_doubt(upper_ohm: float, lower_ohm: float, tolerance: float) -> float:
    """Return the worst error of the ratio, as a share, of two resistors each right to within the tolerance."""
    return 2 * tolerance * upper_ohm / (upper_ohm + lower_ohm)


def margin_v(signal_v: float, supply_v: float) -> float:
    """Return by how much a signal clears the voltage at which the board is sure to read high."""
    return signal_v - HIGH_SHARE * supply_v


def release_s(pull_up_ohm: float, capacity_f: float) -> float:
    """Return how long a drain takes to rise to the voltage that reads high."""
    return pull_up_ohm * capacity_f * math.log(1.0 / (1.0 - HIGH_SHARE))


def lamp_ma(*ohm: float) -> float:
    """Return the current of an infrared diode behind these resistors."""
    return (BOARD_V - LED_V) / sum(ohm) * 1000.0


def slip_ma(volts: float, series_ohm: float) -> float:
    """Return what flows where a wire that should carry a signal touches a supply, and the probe has no power."""
    return (volts - CLAMP_V) / series_ohm * 1000.0


def coupler_ma(lamp_ohm: float) -> float:
    """Return what a coupler's transistor can pull, its base resistor having taken its part, at the least."""
    base_ma = lamp_ma(lamp_ohm) * OPTO_TRANSFER / OPTO_GAIN - CLAMP_V / OPTO_BASE_OHM * 1000.0
    return OPTO_GAIN * base_ma


def lever_ms(offset_mm: float, speed_mm_s: float) -> float:
    """Return what a gate or contact that stands off the lever's own contact point adds or takes."""
    return offset_mm / speed_mm_s * 1000.0
