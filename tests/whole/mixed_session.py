"""One session file with flips, a sweep and a hold, recorded on the practice bench as by someone at it."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from benchapp.acquisition.recording import Recording
from benchapp.acquisition.wishes import CloseSession, Confirm, Drive, NewSession, StartRun
from benchapp.desk.software import recorder
from benchapp.probe.link import Arrival, Link
from benchapp.probe.opening import open_link
from benchapp.procedures.gate import offered_lines
from benchapp.records.run import Origin, PickUp, RunSettings

HAND, PLACE = 8, 9
"""The practice bench's drive leads: its hand on the stick, and where the stick is put (0 to 240)."""
MIDDLE = 120
_LONGEST_S = 600.0


@dataclass(frozen=True, kw_only=True)
class Part:
    """One run of the session: what is started, and what the hand does when it starts."""

    start: StartRun
    hands: Sequence[Drive] = ()
    afterwards: Sequence[Drive] = ()


FLIPS = Part(
    start=StartRun(settings=RunSettings(flips=60), pick_up=PickUp.DRIVEN, phase_stepped=True, clips={"flip": "drive"})
)
SWEEP = Part(
    start=StartRun(test="stick-sweep", settings=RunSettings(cycles=3)),
    hands=(Drive(lead=HAND, level=1),),
    afterwards=(Drive(lead=HAND, level=0), Drive(lead=PLACE, level=MIDDLE)),
)
HOLD = Part(start=StartRun(test="hold-still", settings=RunSettings(seconds=20.0)))


@dataclass(kw_only=True)
class _Person:
    """Starts each part once the one before has ended; told before every read of the link."""

    parts: list[Part]
    recording: Recording | None = None
    current: Part | None = None
    begun: int = 0
    wait: int = field(default=25)

    def look(self, _reads: int) -> None:
        assert self.recording is not None
        run = self.recording.status().run
        if self.current is not None:
            if run is None or run.run < self.begun or not run.outcome:
                return
            for hand in self.current.afterwards:
                self.recording.wish(hand)
            self.current, self.wait = None, 75
        elif self.wait:
            self.wait -= 1
        elif self.parts:
            self.current = self.parts.pop(0)
            self.begun += 1
            self.recording.wish(self.current.start)
            for hand in self.current.hands:
                self.recording.wish(hand)
        else:
            self.recording.wish(CloseSession())
            self.recording._conductor.stopping.set()


class _BenchClocks:
    """The bench's own time in place of the computer's: how busy the computer is changes nothing then."""

    def __init__(self) -> None:
        self.link: Link | None = None

    def monotonic_ns(self) -> int:
        return 0 if self.link is None else self.link.host_ns()

    def asleep_ns(self) -> int:
        return 0


class _Watched:
    """A link that calls before every read."""

    def __init__(self, link: Link, before: Callable[[int], None], clocks: _BenchClocks) -> None:
        self._link, self._before = link, before
        self.name, self.origin = link.name, link.origin
        clocks.link = link

    def read(self) -> Arrival:
        self._before(0)
        return self._link.read()

    def write(self, data: bytes) -> None:
        self._link.write(data)

    def host_ns(self) -> int:
        return self._link.host_ns()

    def close(self) -> None:
        self._link.close()


def record_mixed(
    url: str, path: Path, *, name: str, started: str, parts: Sequence[Part], bench: dict[str, str]
) -> None:
    """Record the parts, one run each, into one session file; the same call records the same."""
    person, clocks = _Person(parts=list(parts)), _BenchClocks()
    recording = Recording(
        lambda: _Watched(open_link(url, pace="flat"), person.look, clocks),
        software=recorder(),
        draw=lambda: 0.5,
        patient=True,
        watched=False,
        clocks=clocks,
    )
    person.recording = recording
    for line in offered_lines(Origin.PRACTICE):
        recording.wish(Confirm(line=line.value))
    recording.wish(NewSession(path=path, name=name, started=started, bench=bench, force=True))
    recording.start()
    try:
        if not recording.wait_until_finished(_LONGEST_S):
            raise TimeoutError("the practice session did not come to its end")
    finally:
        recording.close()
    if recording.failure is not None:
        raise recording.failure
