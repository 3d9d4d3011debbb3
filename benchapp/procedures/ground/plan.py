"""What is settled of a run before it starts: its test, its leads and its settings."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from benchapp.records.leads import Lead, LeadKind
from benchapp.records.run import Origin, PickUp, Polarity, RunSettings


@dataclass(frozen=True, kw_only=True, slots=True)
class RunPlan:
    """One run, planned: number, test, clipped leads {role: lead} and settings.

    clock_tolerance_ppm is the board's. phase_stepped: the probe flips the switch itself. alone: nobody is there
    to press Carry on. takes_itself: a stop is taken once it is still, without being told to. power: the lead with which
    the probe switches the transmitter off and on by itself; None where a person does.
    """

    run: int
    test: str
    origin: Origin
    leads: Mapping[str, Lead]
    start_ns: int
    pick_up: PickUp = PickUp.UNKNOWN
    polarity: Mapping[str, Polarity] = field(default_factory=lambda: MappingProxyType({}))
    clock_tolerance_ppm: float | None = None
    settings: RunSettings = field(default_factory=RunSettings)
    phase_stepped: bool = False
    alone: bool = False
    takes_itself: bool = False
    power: Lead | None = None

    @property
    def control(self) -> str:
        """The role of the control: the switch, or the stick where no lead is on the switch; "" without either."""
        return next((role for role in ("switch", "stick") if role in self.leads), "")

    @property
    def flipper(self) -> Lead | None:
        """The driven lead by which the probe flips the switch: the control itself, else the one clipped to drive."""
        return self.leads["switch"] if moves_itself(self.leads) else self.leads.get("drive")


def moves_itself(leads: Mapping[str, Lead]) -> bool:
    """Return whether the lead on the switch is a driven one, which nobody but the probe can move."""
    return "switch" in leads and leads["switch"].kind is LeadKind.DRIVE
