"""Watches where the stick is, and whether it stands still."""

from benchapp.procedures.ground.moments import Moment, Seen
from benchapp.procedures.ground.open_run import OpenRun
from benchapp.procedures.ground.still_watch import LAST_CELLS, StillWatch
from benchapp.records.stream import Edges, Levels, Record
from benchapp.waveforms.volts import volts

LAG_NS = 150_000_000
"""What is older than this has arrived: a probe sends samples in blocks of 16, 64 ms at 250 a second."""
STILL_SHARE, AWAY_SHARE = 0.003, 0.01
"""Of a level lead's full scale: readings that agree, and a move."""
STILL_US, AWAY_US = 8.0, 14.0
"""The same of a pulse: most outputs' steps are finer."""
UNKNOWN_SCALE_V = 3.0
"""The full scale of a lead that does not name its own."""


class PlaceWatch:
    """Tells when the stick comes to stand still and when it moves: by its lead in volts, or by the pulses in µs.

    Without a lead on the stick it must take each record after the output's watch has.

    readings : where it was, means over cells of 50 ms
    still    : where it stands still at the moment that is being handled, None while it moves
    """

    open_since_ns: int | None = None

    def __init__(self, run: OpenRun, *, remembered: int = LAST_CELLS) -> None:
        """Watch the stick of a run; so many of the last 50 ms are remembered."""
        self._signal = run.signal
        self._start_ns = run.plan.start_ns
        self._output = run.plan.leads["output"].index
        self._stick = stick = run.plan.leads.get("stick")
        self.still: float | None = None
        scale_v = UNKNOWN_SCALE_V if stick is None else stick.full_scale_v or UNKNOWN_SCALE_V
        within = (STILL_US, AWAY_US) if stick is None else (STILL_SHARE * scale_v, AWAY_SHARE * scale_v)
        self.readings = StillWatch(tolerance=within[0], away=within[1], remembered=remembered)

    @property
    def by_lead(self) -> bool:
        """Whether a lead on the stick tells where it is; otherwise only the pulses do."""
        return self._stick is not None

    def take(self, record: Record) -> list[Moment]:
        """Take the next record; where the stick was is judged once 50 ms are whole, so it tells nothing yet."""
        stick = self._stick
        readings: list[tuple[int, float]] = []
        match record:
            case Edges() if stick is None and record.lead == self._output:
                readings = [(begun, (ended - begun) / 1e3) for begun, ended in self._signal.fresh]
            case Levels() if stick is not None and record.lead == stick.index:
                readings = list(zip(record.times_ns.tolist(), volts(record, stick).tolist(), strict=True))
        self.readings.feed(reading for reading in readings if reading[0] >= self._start_ns)
        return []

    def until(self, horizon_ns: int) -> list[Moment]:
        """Return when it came to stand still and when it moved, up to the horizon."""
        return [
            Moment(at_ns=change.at_ns, seen=Seen.STICK_STILL if change.still else Seen.STICK_MOVES, value=change.value)
            for change in self.readings.until(horizon_ns)
        ]

    def note(self, moment: Moment) -> None:
        """Note that a moment is being handled: from it on the stick stands still, or moves."""
        if moment.seen in (Seen.STICK_STILL, Seen.STICK_MOVES):
            self.still = moment.value if moment.seen is Seen.STICK_STILL else None

    def way(self, from_ns: int, to_ns: int) -> list[float]:
        """Return where it was after from_ns and up to to_ns, oldest first, as far as that is remembered."""
        return [value for end_ns, value in self.readings.trail if from_ns < end_ns <= to_ns]
