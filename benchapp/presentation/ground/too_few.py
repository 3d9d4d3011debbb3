"""What stands in the place of the figure while there is too little data for one: how far the run came."""

from benchapp.presentation.ground.enough import so_many_of
from benchapp.presentation.ground.page import PRACTICE_MARK, Block, Heading, KeyFigure
from benchapp.records.findings import RunFindings
from benchapp.records.method import FEWEST_ANSWERED, FEWEST_CYCLES, FEWEST_HELD_PULSES

NO_FIGURE_YET = "too few for a figure"


def is_too_few(run: RunFindings) -> bool:
    """Return whether a run has fewer flips, full cycles or servo pulses than a figure needs."""
    return "insufficient" in run.flags


def too_few_figure(run: RunFindings, lines: tuple[str, ...], *, key: str, practice: bool) -> tuple[Block, ...]:
    """Return, large, how many flips, cycles or pulses count of those a figure needs; lines say more of the run."""
    label, value, unit = _count(run)
    mark = f"{PRACTICE_MARK} · " if practice else ""
    figure = KeyFigure(label=f"{mark}{label}", value=value, unit=unit, spread=NO_FIGURE_YET, lines=lines)
    return (Heading(text="The figure", key=f"{key}figure"), figure)


def _count(run: RunFindings) -> tuple[str, str, str]:
    """Return what is counted, so many of so many, and its unit."""
    if run.linearity is not None:
        return (
            "Full cycles, there and back, of those a figure needs",
            so_many_of(run.linearity.cycles, FEWEST_CYCLES),
            "cycles",
        )
    if run.steadiness is not None:
        return "Servo pulses of those a figure needs", so_many_of(run.steadiness.pulses, FEWEST_HELD_PULSES), "pulses"
    answered = len(run.latency.trials) if run.latency is not None else 0
    return "Answered flips of those a figure needs", so_many_of(answered, FEWEST_ANSWERED), "flips"
