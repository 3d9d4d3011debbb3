"""What can be set on the practice bench."""

from dataclasses import dataclass
from enum import StrEnum

from benchapp.probe.practice.radios import Radio


class Flips(StrEnum):
    """Who flips the switch, and when."""

    RANDOM = "random"
    GOLDEN = "golden"
    NONE = "none"


class Control(StrEnum):
    """What is moved: a switch on an edge lead, or a stick on a level lead."""

    SWITCH = "switch"
    STICK = "stick"


@dataclass(frozen=True, kw_only=True, slots=True)
class BenchOptions:
    """One practice bench, whole. Two benches with equal options send the same bytes when told the same.

    offset      : scan-to-frame offset as a fraction of the frame; None is the radio's own
    new_offset  : draw the offset anew from the seed, as another switch-on would
    jitter_us   : an output pulse begins up to this much early or late, evenly
    noise_us    : standard deviation of an output pulse's duration
    dropout, dead : fraction of output pulses missing, of flips the transmitter never sees
    glitch_per_s  : spikes a second on the switch and on the output
    bounce_ms   : mean time a thrown contact bounces for; 0 for none
    dwell_s     : least time from one flip to the next where the bench flips itself
    ramp_ms     : the answer glides for this long instead of stepping; 0 for steps
    step_us     : output step; None is the radio's own
    reverse     : the thrown switch gives the shorter pulse;  invert: the output line is low during a pulse
    reset_s, unplug_s : the probe restarts, the link is gone, at this time after opening
    damage      : fraction of frames with a wrong bit
    """

    radio: Radio
    seed: int = 0
    flips: Flips = Flips.RANDOM
    control: Control = Control.SWITCH
    clock_ppm: float = 0.0
    offset: float | None = None
    new_offset: bool = False
    jitter_us: float = 2.0
    noise_us: float = 0.3
    dropout: float = 0.0
    dead: float = 0.0
    glitch_per_s: float = 0.0
    bounce_ms: float = 1.6
    dwell_s: float = 0.9
    ramp_ms: float = 0.0
    step_us: float | None = None
    reverse: bool = False
    invert: bool = False
    reset_s: float | None = None
    unplug_s: float | None = None
    damage: float = 0.0

    def pulse_us(self, thrown: bool) -> float:
        """Return the duration of the output pulse with the switch at rest or thrown, noise apart."""
        radio = self.radio
        middle = (radio.low_us + radio.high_us) / 2
        half = (radio.high_us - radio.low_us if self.step_us is None else self.step_us) / 2
        return middle + (half if thrown != self.reverse else -half)
