"""The practice radios: Alder, Birch and Cedar, whose figures are all invented."""

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType

from benchapp.probe.practice.stick_law import StickLaw

MS = 1_000_000
US = 1_000


class WhenOff(StrEnum):
    """What the receiver's output does once the transmitter is off."""

    SILENT = "silent"
    HOLD = "hold"


@dataclass(frozen=True, kw_only=True, slots=True)
class Train:
    """The pulse train a transmitter feeds to its module, one frame a scan.

    rest_us holds the duration of every channel while the control rests; the control moves `channel`, counted
    from 1. A channel lasts from one separator's beginning to the next one's.
    """

    channel: int
    separator_us: int
    rest_us: tuple[int, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class Radio:
    """One radio: what it does between a control and the output pulse.

    frame_ns  : period of the output pulses
    scan_ns   : period at which the transmitter looks at its controls; `locked`: on the frame's own clock
    path_ns   : from the scan to the receiver holding the value
    low_us, high_us : output pulse with the switch at rest and thrown
    first_steps     : how much of a step the first answering pulse makes; one is drawn for each flip, the next
                      pulse makes the rest
    start_up_ns     : from switching the transmitter on to the first output pulse
    stick           : what it makes of the stick
    """

    name: str
    frame_ns: int
    scan_ns: int
    locked: bool
    path_ns: int
    low_us: float
    high_us: float
    first_steps: tuple[float, ...]
    when_off: WhenOff
    start_up_ns: int
    stick: StickLaw
    train: Train | None = None

    @property
    def own_offset(self) -> float:
        """How far its scan lags its frame, as a fraction of the frame: it belongs to the name, not to a seed."""
        digest = hashlib.sha256(f"practice radio {self.name}".encode()).digest()
        return int.from_bytes(digest[:6], "big") / 2**48


ALDER = Radio(
    name="Alder",
    frame_ns=9 * MS,
    scan_ns=4_003_100,
    locked=False,
    path_ns=5_200 * US,
    low_us=1100.0,
    high_us=1900.0,
    first_steps=(1.0,),
    when_off=WhenOff.SILENT,
    start_up_ns=1_200 * MS,
    stick=StickLaw(low_us=1096.0, high_us=1898.0, expo=0.02, bow=0.004, dead_band=0.002, hysteresis=0.001, step_us=0.8),
)
"""The built-in link, quick: scan and frame run on clocks of their own."""

BIRCH = Radio(
    name="Birch",
    frame_ns=22_500 * US,
    scan_ns=22_500 * US,
    locked=True,
    path_ns=28_600 * US,
    low_us=1100.0,
    high_us=1900.0,
    first_steps=(1.0,),
    when_off=WhenOff.HOLD,
    start_up_ns=2_500 * MS,
    stick=StickLaw(
        low_us=1108.0,
        high_us=1886.0,
        expo=0.03,
        bow=-0.006,
        centre_flat=0.011,
        dead_band=0.004,
        hysteresis=0.002,
        step_us=0.75,
    ),
    train=Train(channel=5, separator_us=300, rest_us=(1500, 1480, 1120, 1520, 1100, 1500, 1700, 1350)),
)
"""The module fed by a pulse train: the scan starts a train, and the output keeps step with it."""

CEDAR = Radio(
    name="Cedar",
    frame_ns=14 * MS,
    scan_ns=7_030_300,
    locked=False,
    path_ns=8_700 * US,
    low_us=1050.0,
    high_us=1950.0,
    first_steps=(0.3, 0.7, 1.0),
    when_off=WhenOff.HOLD,
    start_up_ns=1_600 * MS,
    stick=StickLaw(
        low_us=1054.0, high_us=1941.0, expo=-0.02, bow=0.008, dead_band=0.001, hysteresis=0.003, step_us=0.9
    ),
)
"""The one in between, which often answers in two steps."""

RADIOS: Mapping[str, Radio] = MappingProxyType({"alder": ALDER, "birch": BIRCH, "cedar": CEDAR})
"""The practice radios by the word that names them in a URL."""
