"""The leads the simulated probe drives."""

from collections.abc import Callable

from benchapp.probe.practice.agenda import Agenda
from benchapp.probe.practice.descriptor import LAMP, REST_LEVELS, SERVO


class Drives:
    """Levels of the driven leads. `changed(lead, level)` is called at the instant of every change."""

    def __init__(self, agenda: Agenda, now_ns: Callable[[], int], changed: Callable[[int, int], None]) -> None:
        self.levels = dict(REST_LEVELS)
        self._agenda = agenda
        self._now_ns = now_ns
        self._changed = changed
        self._era = 0
        self._series = 0

    @property
    def at_rest(self) -> bool:
        """Whether every driven lead is at its level of rest."""
        return self.levels == REST_LEVELS

    def can_drive(self, lead: int, level: int) -> bool:
        """Return whether a lead can be driven to a level."""
        return lead in self.levels and level in (0, 1)

    def set(self, lead: int, level: int) -> None:
        """Drive a lead to a level now."""
        if self.levels[lead] != level:
            self.levels[lead] = level
            self._changed(lead, level)

    def set_at(self, lead: int, level: int, at_ns: int) -> None:
        """Drive a lead to a level later, unless all go to rest before."""
        era = self._era
        self._agenda.plan(at_ns, lambda: self.set(lead, level) if era == self._era else None)

    def rest(self) -> None:
        """Put every lead to rest now, and forget what was planned for them."""
        self._era += 1
        self._series += 1
        for lead, level in REST_LEVELS.items():
            self.set(lead, level)

    def flash(self, duration_ns: int) -> None:
        """Light the lamp now, for so long."""
        self.set(LAMP, 1)
        self.set_at(LAMP, 0, self._now_ns() + duration_ns)

    def pulse(self, pulse_ns: int, period_ns: int) -> None:
        """Send servo pulses from now on; none for a pulse of 0."""
        self._series += 1
        self.set(SERVO, 0)
        if pulse_ns:
            self._next_pulse(self._series, pulse_ns, period_ns)

    def _next_pulse(self, series: int, pulse_ns: int, period_ns: int) -> None:
        if series != self._series:
            return
        begun_ns = self._now_ns()
        self.set(SERVO, 1)
        self._agenda.plan(begun_ns + pulse_ns, lambda: self.set(SERVO, 0) if series == self._series else None)
        self._agenda.plan(begun_ns + period_ns, lambda: self._next_pulse(series, pulse_ns, period_ns))
