"""The switch a probe can flip for you, and the radio's power where the probe holds it."""

import time
from collections.abc import Callable, Mapping
from typing import Any

from PySide6.QtCore import QObject, QTimer, Slot

from benchapp.acquisition.clipping import POWER_LEAD
from benchapp.acquisition.status import Status
from benchapp.acquisition.wishes import Drive, Wish
from benchapp.records.leads import Lead, LeadKind
from benchapp.records.stream import Edges

_HEARTBEAT_WAIT_S = 0.4
"""A probe tells its leads' levels ten times a second."""
_FLIP = "flip"
_POWER = POWER_LEAD
_CLIPPED = "drive"
_OFF_MS = 500


class DrivenSwitch(QObject):
    """Follows where the driven leads stand: as their own edges tell, or as they were last set."""

    def __init__(self, wish: Callable[[Wish], None], parent: QObject) -> None:
        super().__init__(parent)
        self._wish = wish
        self._leads: tuple[Lead, ...] = ()
        self._roles: Mapping[int, str] = {}
        self._set_s = 0.0
        self.level = 0

    def begin(self) -> None:
        """Begin with another bench: forget the leads and the level of the last one."""
        self._leads, self._roles, self._set_s, self.level = (), {}, 0.0, 0

    def lead(self, label: str = _FLIP) -> Lead | None:
        """Return the lead the probe can drive under that name, if it has one; for flips, else the one clipped to drive.

        Most probes name their leads after their pins.
        """
        driven = [lead for lead in self._leads if lead.kind is LeadKind.DRIVE]
        named = next((lead for lead in driven if lead.label == label), None)
        if named is not None or label != _FLIP:
            return named
        return next((lead for lead in driven if self._roles.get(lead.index) == _CLIPPED), None)

    def flip(self) -> None:
        """Flip the switch, if a lead drives it."""
        lead = self.lead()
        if lead is not None:
            self.level = 1 - self.level
            self._set_s = time.monotonic()
            self._wish(Drive(lead=lead.index, level=self.level))

    def power_cycle(self) -> None:
        """Switch the radio off and on, if a lead holds its power."""
        lead = self.lead(_POWER)
        if lead is not None:
            self._wish(Drive(lead=lead.index, level=0))
            QTimer.singleShot(_OFF_MS, self._power_up)

    @Slot()
    def _power_up(self) -> None:
        lead = self.lead(_POWER)
        if lead is not None:
            self._wish(Drive(lead=lead.index, level=1))

    def take_items(self, items: list[Any]) -> None:
        """Follow the switch's own edges."""
        lead = self.lead()
        for item in items:
            if lead is not None and isinstance(item, Edges) and item.lead == lead.index and item.count:
                self.level = int(item.levels[-1])

    def take_status(self, status: Status | None) -> None:
        """Take over where the switch stands; a wish just made is not in the heartbeat yet. None: no bench is open."""
        self._leads, self._roles = (status.leads, status.roles) if status is not None else ((), {})
        lead = self.lead()
        if status is not None and lead is not None and time.monotonic() - self._set_s > _HEARTBEAT_WAIT_S:
            self.level = status.lead_levels >> lead.index & 1
