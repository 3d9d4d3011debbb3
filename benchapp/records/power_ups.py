"""A switching-on of the transmitter: the unit that repeats when sets are compared."""

from dataclasses import dataclass

from benchapp.records.findings import Trial


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class PowerUp:
    """The usual answers of one switch-on; stragglers are not among them.

    session, run, block : where it began: the session's place in the comparison, the run's number, the switch-on's in it
    trials    : at least one, in time order; of several runs where nothing says that the set went off between them
    mean_ms   : the plain mean: what the figure of three and more switch-ons is the mean of
    half_ms   : half the width of its 95 % interval from these flips alone; None for one flip
    frame_ms  : the output's frame period; None where none was found
    steps_once : the frames from flip to answer step up at most once round the circle; None without a known phase
    joined    : further runs (session, run) that went on in it
    day       : the date on which the session began, as written; None where it states none
    """

    session: int
    run: int
    block: int
    trials: tuple[Trial, ...]
    mean_ms: float
    half_ms: float | None
    frame_ms: float | None
    steps_once: bool | None
    day: str | None = None
    joined: tuple[tuple[int, int], ...] = ()

    @property
    def n(self) -> int:
        """How many flips."""
        return len(self.trials)
