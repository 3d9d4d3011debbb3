"""One flip as it was answered, for the picture that is held until the next one."""

from dataclasses import dataclass

from benchapp.records.findings import Excluded, Latency, Trial


@dataclass(frozen=True, kw_only=True, slots=True)
class FlipSeen:
    """The newest flip that a reduction has measured.

    at_ns  : the switch's edge on the session's clock       mid_ms : its latency, None where it got no answer
    code   : why it does not count, "" where it does        direction : "up" or "down", None where that is not known
    before_us, after_us : how long the pulses were before and after, [µs]
    taken_off_ms : what was entered by hand and is in mid_ms; without it, the answering pulse ends at at_ns + mid_ms
    """

    at_ns: int
    mid_ms: float | None
    code: str = ""
    direction: str | None = None
    before_us: float | None = None
    after_us: float | None = None
    taken_off_ms: float = 0.0


def last_flip(latency: Latency | None) -> FlipSeen | None:
    """Return the newest flip of some findings, answered or not; None where there is none."""
    if latency is None or not (latency.trials or latency.excluded):
        return None
    trial = latency.trials[-1] if latency.trials else None
    left_out = latency.excluded[-1] if latency.excluded else None
    taken_off_ms = latency.correction_ms or 0.0
    if trial is not None and (left_out is None or trial.at_ns > left_out.at_ns):
        return answered(trial, taken_off_ms=taken_off_ms)
    return None if left_out is None else unanswered(left_out, taken_off_ms=taken_off_ms)


def answered(trial: Trial, *, taken_off_ms: float = 0.0) -> FlipSeen:
    """Return a flip that counts."""
    return FlipSeen(
        at_ns=trial.at_ns,
        mid_ms=trial.mid_ms,
        direction=trial.direction,
        before_us=trial.before_us,
        after_us=trial.after_us,
        taken_off_ms=taken_off_ms,
    )


def unanswered(flip: Excluded, *, taken_off_ms: float = 0.0) -> FlipSeen:
    """Return a flip that was left out."""
    return FlipSeen(
        at_ns=flip.at_ns, mid_ms=flip.mid_ms, code=flip.code, direction=flip.direction, taken_off_ms=taken_off_ms
    )
