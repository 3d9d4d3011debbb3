"""What stands in the place of the figure while there is too little data for one: how far the run came."""

from benchapp.presentation.ground.enough import so_many_of
from benchapp.presentation.ground.page import PRACTICE_MARK, Block, Heading, KeyFigure
from benchapp.records.codes import Flag
from benchapp.records.findings import RunFindings

NO_FIGURE_YET = "too few for a figure"


def is_too_few(run: RunFindings) -> bool:
    """Return whether a run has fewer flips, full cycles or servo pulses than a figure needs."""
    return Flag.INSUFFICIENT in run.flags


def too_few_figure(
    counted: str, done: int, needed: int, unit: str, lines: tuple[str, ...], *, key: str, practice: bool
) -> tuple[Block, ...]:
    """Return, large, how many count of those a figure needs ("Full cycles", 2 of 3 "cycles"); lines say more."""
    mark = f"{PRACTICE_MARK} · " if practice else ""
    label = f"{mark}{counted} of those a figure needs"
    figure = KeyFigure(label=label, value=so_many_of(done, needed), unit=unit, spread=NO_FIGURE_YET, lines=lines)
    return (Heading(text="The figure", key=f"{key}figure"), figure)
