"""One flip of a run, looked at closely: its pulse trains, as the window shows them when the flip is chosen."""

from benchapp.presentation.flips.trains import NEAREST, trains, typical_trial
from benchapp.presentation.ground.page import Figure
from benchapp.presentation.ground.wording import exclusion_reason
from benchapp.records.findings import Excluded, Latency, RunFindings, Trial
from benchapp.records.run import RunEvidence


def flip_of(run: RunFindings, number: int) -> Trial | Excluded | None:
    """Return a run's flip by its number, answered or left out; None where there is no such flip."""
    latency = run.own(Latency)
    flips: tuple[Trial | Excluded, ...] = (*latency.trials, *latency.excluded)
    return next((flip for flip in flips if flip.flip == number), None)


def usual_flip(run: RunFindings) -> int | None:
    """Return the number of the flip nearest to the figure, the first to be shown; None where no flip was answered."""
    trial = typical_trial(run.own(Latency))
    return trial.flip if trial is not None else None


def flip_figure(run: RunFindings, evidence: RunEvidence | None, number: int, *, practice: bool) -> Figure | None:
    """Return the drawing of one flip's pulse trains, aligned at the flip; None without evidence or without the flip."""
    flip = flip_of(run, number)
    if flip is None:
        return None
    remark = ""
    if isinstance(flip, Excluded):
        remark = f", left out: {exclusion_reason(flip, window_s=run.own(Latency).window_s)}"
    elif number == usual_flip(run):
        remark = NEAREST
    frame = run.frame
    return trains(
        evidence,
        flip,
        frame_ms=frame.period_ms if frame is not None else None,
        pulse=frame.polarity if frame is not None else None,
        practice=practice,
        remark=remark,
    )
