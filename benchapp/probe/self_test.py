"""Has a probe drive edges into its own leads, one wire at a time, and compares the stamps.

The lead at the wire's end is recognised by itself: it is the one that follows the drive lead. So the wires may be moved
in any order, and nothing has to be typed.
"""

from collections.abc import Callable, Sequence

import numpy as np

from benchapp.probe.conversation import Conversation
from benchapp.probe.timebase import Output, ProbeState, StretchOpened
from benchapp.probe.wire import Commands
from benchapp.records.errors import ProbeTrouble, StoppedByHand
from benchapp.records.leads import Lead, LeadKind, Stretch
from benchapp.records.self_test import LeadTest, SelfTestProgress, SelfTestStep
from benchapp.records.stream import Edges
from benchapp.reduction.ground.stamp_test import followed, judge_lead

EDGES = 120
"""Driven into each lead: a share of 1 in 40 that is late is missed with a chance of 5 %."""
TOGGLES = 4
"""In a row that a lead must follow to be recognised."""
MOST_MISSES = 5
PATIENCE_NS = 300_000_000
_AFTER_NS = 30_000_000  # edges leave the board within 5 ms, a bridge holds them for 16 ms
_AHEAD_NS = 30_000_000
_GOLDEN = 0.6180339887498949
_SPREAD_NS = 1_000_000  # phases over one sample of the level leads: whatever recurs on the board is met at any phase

Tell = Callable[[SelfTestProgress], None]
Stop = Callable[[], bool]


def run_self_test(talk: Conversation, *, tell: Tell, stop: Stop, edges: int = EDGES) -> tuple[LeadTest, ...]:
    """Return what was found, by lead; ends when all edge leads are tested or stop says so.

    A stop while a lead is measured leaves that lead out. Raises StoppedByHand where none was tested, ProbeTrouble
    where the probe has no drive lead, starts anew, or does not drive.
    """
    return _SelfTest(talk, tell, stop, edges).run()


class _Stopped(Exception):
    """Raised inside a self-test where somebody asked it to stop."""


class _SelfTest:
    def __init__(self, talk: Conversation, tell: Tell, stop: Stop, edges: int) -> None:
        self._talk, self._tell_how, self._stop, self._edges = talk, tell, stop, edges
        self._seen: dict[int, list[Edges]] = {}
        self._stretch: Stretch | None = None
        self._beat = (0, 0)
        self._tested: dict[int, LeadTest] = {}
        self._level = 0
        self._phase = 0.0

    def run(self) -> tuple[LeadTest, ...]:
        self._tell_how(SelfTestProgress(step=SelfTestStep.GREET))
        self._take(self._talk.begin())
        drive, leads = self._leads()
        try:
            while len(self._tested) < len(leads):
                lead = self._recognised(drive, leads)
                self._tested[lead.index] = self._measured(drive, lead, leads)
        except _Stopped:
            if not self._tested:
                raise StoppedByHand("The self-test was stopped before any lead was tested.") from None
        return tuple(self._tested[index] for index in sorted(self._tested))

    def _leads(self) -> tuple[Lead, Sequence[Lead]]:
        assert self._stretch is not None  # begin() comes back with one
        drives = [lead for lead in self._stretch.leads if lead.kind is LeadKind.DRIVE and lead.role == "drive"]
        leads = [lead for lead in self._stretch.leads if lead.kind is LeadKind.EDGE]
        if not drives or not leads:
            raise ProbeTrouble(
                f"The probe on {self._talk.link.name} names no lead that flips, or no lead that stamps edges, so it "
                "cannot test itself."
            )
        return drives[0], leads

    def _recognised(self, drive: Lead, leads: Sequence[Lead]) -> Lead:
        """Return the lead that follows the drive lead and was not tested yet; wait until there is one."""
        in_a_row, before = 0, -1
        crowd: tuple[str, ...] = ()
        while True:
            self._say(SelfTestStep.JUMPER, drive, leads, crowd=crowd)
            self._forget()
            driven = self._toggle(drive)
            followers = [lead for lead in leads if self._follows(driven, lead)]
            crowd = tuple(lead.label for lead in followers) if len(followers) > 1 else ()
            now = followers[0].index if len(followers) == 1 else -1
            in_a_row = in_a_row + 1 if now == before else 1
            before = now
            if now >= 0 and now not in self._tested and in_a_row >= TOGGLES:
                return followers[0]

    def _measured(self, drive: Lead, lead: Lead, leads: Sequence[Lead]) -> LeadTest:
        self._forget()
        made: list[Edges] = []
        while len(made) < self._edges:
            self._say(SelfTestStep.MEASURE, drive, leads, lead=lead.label, done=len(made))
            made.append(self._toggle(drive, at_a_phase=True))
        self._listen(_AFTER_NS)
        return judge_lead(_joined(drive.index, made), self._edges_of(lead.index), drive=drive, lead=lead)

    def _toggle(self, drive: Lead, *, at_a_phase: bool = False) -> Edges:
        """Drive one edge; return it as the board stamped it."""
        for _ in range(MOST_MISSES):
            before = self._edges_of(drive.index).count
            self._order(drive, 1 - self._level, at_a_phase=at_a_phase)
            until_ns = self._talk.link.host_ns() + PATIENCE_NS
            while self._edges_of(drive.index).count == before and self._talk.link.host_ns() < until_ns:
                self._listen(0)
            edges = self._edges_of(drive.index)
            if edges.count > before:
                self._level = int(edges.levels[-1])
                if not at_a_phase:
                    self._listen(_AFTER_NS)
                return _newest(edges)
        raise ProbeTrouble(
            f"The probe on {self._talk.link.name} was asked {MOST_MISSES} times to move {drive.label} and stamped no "
            "edge of it. Unplug it, plug it in again and try once more."
        )

    def _order(self, drive: Lead, level: int, *, at_a_phase: bool) -> None:
        if not at_a_phase:
            self._talk.send(Commands.DRIVE, lead=drive.index, level=level)
            return
        assert self._stretch is not None
        self._phase = (self._phase + _GOLDEN) % 1.0
        now_ns = self._beat[0] + self._talk.link.host_ns() - self._beat[1]
        at_ns = now_ns + _AHEAD_NS + round(self._phase * _SPREAD_NS)
        board = self._stretch.board
        tick = self._stretch.origin_tick + (at_ns - self._stretch.origin_ns) * board.tick_hz // 1_000_000_000
        self._talk.send(Commands.DRIVE_AT, lead=drive.index, level=level, tick=tick & 0xFFFF_FFFF)

    def _follows(self, driven: Edges, lead: Lead) -> bool:
        seen = self._edges_of(lead.index)
        return seen.count == 1 and bool((followed(driven, seen) == 0).all())

    def _listen(self, for_ns: int) -> None:
        """Take what comes for so long, once at least. Raises _Stopped, ProbeTrouble."""
        until_ns = self._talk.link.host_ns() + for_ns
        while True:
            if self._stop():
                raise _Stopped
            self._take(self._talk.read())
            if self._talk.link.host_ns() >= until_ns:
                return

    def _take(self, outputs: list[Output]) -> None:
        for output in outputs:
            match output:
                case StretchOpened():
                    if self._stretch is not None:
                        raise ProbeTrouble(
                            f"The probe on {self._talk.link.name} started anew in the middle of its test. Look at its "
                            "cable and at the wires, and test again."
                        )
                    self._stretch = output.stretch
                case ProbeState():
                    self._beat = (output.at_ns, self._talk.link.host_ns())
                case Edges():
                    self._seen.setdefault(output.lead, []).append(output)
                case _:
                    pass  # a lost record shows as an edge that is missing

    def _edges_of(self, lead: int) -> Edges:
        return _joined(lead, self._seen.get(lead, []))

    def _forget(self) -> None:
        self._seen.clear()

    def _say(
        self,
        step: SelfTestStep,
        drive: Lead,
        leads: Sequence[Lead],
        *,
        lead: str = "",
        done: int = 0,
        crowd: tuple[str, ...] = (),
    ) -> None:
        self._tell_how(
            SelfTestProgress(
                step=step,
                drive=drive.label,
                lead=lead,
                done=done,
                total=self._edges,
                left=tuple(one.label for one in leads if one.index not in self._tested),
                crowd=crowd,
                tested=tuple(self._tested.values()),
            )
        )


def _joined(lead: int, parts: Sequence[Edges]) -> Edges:
    return Edges(
        lead=lead,
        times_ns=np.concatenate([np.empty(0, np.int64), *(part.times_ns for part in parts)]),
        levels=np.concatenate([np.empty(0, np.uint8), *(part.levels for part in parts)]),
        flags=np.concatenate([np.empty(0, np.uint8), *(part.flags for part in parts)]),
    )


def _newest(edges: Edges) -> Edges:
    return Edges(lead=edges.lead, times_ns=edges.times_ns[-1:], levels=edges.levels[-1:], flags=edges.flags[-1:])
