"""What can be set on the practice bench."""

from dataclasses import dataclass, replace
from enum import StrEnum

from benchapp.probe.practice.hand import Habits, Motion, even_places
from benchapp.probe.practice.radios import Radio
from benchapp.probe.practice.stick_law import StickLaw


class Flips(StrEnum):
    """Who flips the switch, and when."""

    RANDOM = "random"
    GOLDEN = "golden"
    NONE = "none"


class StickAge(StrEnum):
    """How old the stick's samples are: all alike, or as the scans happen to fall."""

    EVEN = "even"
    SCAN = "scan"


class NewOffset(StrEnum):
    """What the offset of the first switch-on is drawn from: the seed alone, or the radio's name as well.

    From the seed alone every radio draws the same one.
    """

    SEED = "new"
    RADIO_AND_SEED = "each"


class Control(StrEnum):
    """What is moved: a switch on an edge lead, or a stick on a level lead."""

    SWITCH = "switch"
    STICK = "stick"


@dataclass(frozen=True, kw_only=True, slots=True)
class BenchOptions:
    """One practice bench, whole. Two benches with equal options send the same bytes when told the same.

    offset      : scan-to-frame offset as a fraction of the frame; None is the radio's own
    new_offset  : draw the first switch-on's offset anew, as those of later ones are; None does not
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

    With a motion there is a stick on the level lead, moved by a hand of the bench's own:
    motion      : what the hand does from the start on; None where there is no such stick
    expo, bow, centre_flat, dead_band, hysteresis, clip : as in `StickLaw`, in percent; None is the radio's own
    resolution_us : the output's steps;  stick_delay_ms : age of every sample at its pulse's leading edge; None leaves
                  both to the radio
    stick_age   : EVEN gives every sample the age that a long run comes to, SCAN the age its scan has
    stroke_s, speed_spread, speeds, rest_s, cycles, stops, stop_s, place : as in `Habits`
    """

    radio: Radio
    seed: int = 0
    flips: Flips = Flips.RANDOM
    control: Control = Control.SWITCH
    clock_ppm: float = 0.0
    offset: float | None = None
    new_offset: NewOffset | None = None
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
    motion: Motion | None = None
    expo: float | None = None
    bow: float | None = None
    centre_flat: float | None = None
    dead_band: float | None = None
    hysteresis: float | None = None
    clip: float | None = None
    resolution_us: float | None = None
    stick_delay_ms: float | None = None
    stick_age: StickAge = StickAge.EVEN
    stroke_s: float = 3.0
    speed_spread: float = 0.6
    speeds: tuple[float, ...] = ()
    rest_s: float = 0.8
    cycles: int | None = None
    stops: tuple[float, ...] = even_places(11)
    stop_s: float = 1.5
    place: float = 0.5

    @property
    def habits(self) -> Habits:
        """How the hand moves the stick."""
        return Habits(
            stroke_s=self.stroke_s,
            speed_spread=self.speed_spread,
            speeds=self.speeds,
            rest_s=self.rest_s,
            cycles=self.cycles,
            stops=self.stops,
            stop_s=self.stop_s,
            place=self.place,
        )

    @property
    def stick_law(self) -> StickLaw:
        """What this bench's radio makes of the stick."""
        own = self.radio.stick
        shares = {
            name: asked / 100
            for name in ("expo", "bow", "centre_flat", "dead_band", "hysteresis", "clip")
            if (asked := getattr(self, name)) is not None
        }
        low_us, high_us = (own.high_us, own.low_us) if self.reverse else (own.low_us, own.high_us)
        step_us = own.step_us if self.resolution_us is None else self.resolution_us
        return replace(own, low_us=low_us, high_us=high_us, step_us=step_us, **shares)

    def pulse_us(self, thrown: bool) -> float:
        """Return the duration of the output pulse with the switch at rest or thrown, noise apart."""
        radio = self.radio
        middle = (radio.low_us + radio.high_us) / 2
        half = (radio.high_us - radio.low_us if self.step_us is None else self.step_us) / 2
        return middle + (half if thrown != self.reverse else -half)
