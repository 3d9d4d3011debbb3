"""Listens to a probe's heartbeats for a while, to see its clock beside the computer's."""

from collections.abc import Callable

import numpy as np

from benchapp.probe.conversation import Conversation
from benchapp.probe.timebase import StretchOpened
from benchapp.records.clock_check import ClockCheck, ClockProgress
from benchapp.records.errors import NotEnoughData, ProbeTrouble, StoppedByHand
from benchapp.records.stream import ClockPairs, frozen_array
from benchapp.reduction.ground.clock_check import judge_clock

TELL_EVERY_NS = 1_000_000_000
MOST_A_SECOND = 20
"""Heartbeats kept of a probe that sends more than the ten a second it should."""


class ClockWatch:
    """One check. Every heartbeat is one pair; nothing else of what comes is looked at."""

    def __init__(
        self, talk: Conversation, seconds: float, *, tell: Callable[[ClockProgress], None], stop: Callable[[], bool]
    ) -> None:
        self._talk, self._tell, self._stop = talk, tell, stop
        self._lasts_ns = round(seconds * 1e9)
        self._most = round(seconds * MOST_A_SECOND)
        self._probe_ns: list[int] = []
        self._host_ns: list[int] = []

    def run(self) -> ClockCheck:
        """Return what was found; a stop ends it early.

        Raises StoppedByHand where it was stopped before there was enough, NotEnoughData where too few heartbeats came,
        ProbeTrouble where the probe started anew.
        """
        self._talk.begin()
        host_ns = self._talk.link.host_ns
        began_ns = told_ns = host_ns()
        self._tell_so_far(0)
        while host_ns() - began_ns < self._lasts_ns and not self._stop():
            self._take()
            if host_ns() - told_ns >= TELL_EVERY_NS:
                told_ns = host_ns()
                self._tell_so_far(told_ns - began_ns)
        found = self._found()
        if found is None and self._stop():
            raise StoppedByHand("The clock check was stopped before there was enough to say anything.")
        if found is None:
            raise NotEnoughData(
                f"The {len(self._probe_ns)} heartbeats that came say too little: ten a second for at least 2 s were "
                "expected. Look at the cable, and check for longer."
            )
        return found

    def _take(self) -> None:
        for output in self._talk.read():
            if isinstance(output, ClockPairs) and len(self._probe_ns) < self._most:
                self._probe_ns += output.probe_ns.tolist()
                self._host_ns += output.host_ns.tolist()
            elif isinstance(output, StretchOpened):
                raise ProbeTrouble(
                    f"The probe on {self._talk.link.name} started anew in the middle of the check. Look at its cable, "
                    "and check again."
                )

    def _found(self) -> ClockCheck | None:
        board = self._talk.timebase.board
        if board is None:
            return None
        pairs = ClockPairs(
            probe_ns=frozen_array(np.array(self._probe_ns, np.int64)),
            host_ns=frozen_array(np.array(self._host_ns, np.int64)),
        )
        return judge_clock(pairs, board)

    def _tell_so_far(self, elapsed_ns: int) -> None:
        found = self._found()
        self._tell(
            ClockProgress(
                elapsed_s=elapsed_ns / 1e9,
                total_s=self._lasts_ns / 1e9,
                error_ppm=found.error_ppm if found else None,
                expanded_ppm=found.expanded_ppm if found else None,
            )
        )
