"""How the practice transmitter reads its stick: at its scans, a path delay before the pulse that shows it."""

from collections.abc import Callable

from benchapp.probe.practice import law
from benchapp.probe.practice.law import SwitchOn
from benchapp.probe.practice.options import BenchOptions, StickAge
from benchapp.probe.practice.radios import Radio
from benchapp.probe.practice.stick_law import StickChain

Place = Callable[[int], float]


class StickReader:
    """Turns where the stick stood into what the output and the module show. Each must be asked in order of time."""

    def __init__(self, options: BenchOptions, place_at: Place) -> None:
        self._radio = options.radio
        self._place_at = place_at
        self._output = StickChain(options.stick_law)
        self._module = StickChain(options.stick_law)
        self._next_scan_ns = 0
        self._place = place_at(0)
        self._ages_ns = self._aged = 0
        self._shown_us = self._output.pulse_us(self._place)
        self._given_ms = options.stick_delay_ms
        self._even = options.stick_age is StickAge.EVEN
        self._delay_ns: int | None = None

    @property
    def mean_age_ms(self) -> float | None:
        """How old samples of the moving stick were on average when the pulse that shows them began; None before any."""
        if self._delay_ns is not None:
            return self._delay_ns / 1e6
        return self._ages_ns / self._aged / 1e6 if self._aged else None

    def switched_on(self, clock: SwitchOn) -> None:
        """Take up the scans of a new switch-on."""
        self._next_scan_ns = clock.scan_base_ns
        if self._given_ms is not None:
            self._delay_ns = round(self._given_ms * 1e6)
        elif self._even:
            self._delay_ns = round(long_run_age_ms(self._radio, clock) * 1e6)

    def frame_us(self, frame_ns: int) -> float:
        """Return the pulse of an output frame: from the newest scan that has arrived, or from the delay asked for."""
        if self._delay_ns is not None:
            return self._output.pulse_us(self._place_at(frame_ns - self._delay_ns))
        before = self._place
        while self._next_scan_ns <= frame_ns - self._radio.path_ns:
            self._place = self._place_at(self._next_scan_ns)
            self._shown_us = self._output.pulse_us(self._place)
            self._next_scan_ns += self._radio.scan_ns
        if self._place != before:
            self._ages_ns += frame_ns - (self._next_scan_ns - self._radio.scan_ns)
            self._aged += 1
        return self._shown_us

    def scan_us(self, scan_ns: int) -> float:
        """Return what the module's train shows of the stick at a scan."""
        return self._module.pulse_us(self._place_at(scan_ns))


def long_run_age_ms(radio: Radio, clock: SwitchOn) -> float:
    """Return the age of a scan's sample, when the pulse that shows it begins, that a long run comes nearer to."""
    if not radio.locked:  # an unlocked pair drifts through every age from the path's to a scan more
        return (radio.path_ns + radio.scan_ns / 2) / 1e6
    arrived_ns = clock.frame_base_ns - radio.path_ns
    scan_ns = law.next_beat_ns(arrived_ns + 1, clock.scan_base_ns, radio.scan_ns) - radio.scan_ns
    return (clock.frame_base_ns - scan_ns) / 1e6
