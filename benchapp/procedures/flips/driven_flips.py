"""The flips a probe is asked to make, one at a time."""

from collections.abc import Callable

from benchapp.procedures.flips.phases import GoldenPhases
from benchapp.procedures.ground.drive_request import DriveRequest

AHEAD_NS = 60_000_000
AGAIN_NS = 1_000_000_000
"""A flip is asked for this long ahead, and asked for again if none came of it."""


class DrivenFlips:
    """Plans each flip once the one before has been answered; levels alternate."""

    def __init__(self, lead: int, draw: Callable[[], float]) -> None:
        """Plan flips of the lead of this number; draw gives random numbers in [0, 1)."""
        self._lead = lead
        self._phases = GoldenPhases(draw)
        self._asked_ns: int | None = None
        self._level = 0

    def flipped(self) -> None:
        """Note that a flip was seen."""
        self._asked_ns = None

    def request(self, now_ns: int, *, leading_ns: int, period_ns: float) -> DriveRequest | None:
        """Return the next flip to ask for; None while one that was asked for is still to come.

        leading_ns is the leading edge of an output pulse, period_ns the frame period.
        """
        if self._asked_ns is not None and now_ns < self._asked_ns + AGAIN_NS:
            return None
        self._level = 1 - self._level
        self._asked_ns = self._phases.next_ns(
            leading_ns=leading_ns, period_ns=period_ns, not_before_ns=now_ns + AHEAD_NS
        )
        return DriveRequest(lead=self._lead, at_ns=self._asked_ns, level=self._level)
