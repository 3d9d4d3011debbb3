"""What a page says of a sweep of the stick: the figure, its plots, its tables, and how they were computed."""

from collections.abc import Iterable

from benchapp.presentation.ground.numbers import (
    NBSP,
    at_places,
    counted,
    digits,
    exists,
    uncertainty_places,
    value_and_u,
)
from benchapp.presentation.ground.output_part import output_part
from benchapp.presentation.ground.page import PRACTICE_MARK, Block, Bullets, Facts, Heading, KeyFigure, Paragraph, Tone
from benchapp.presentation.ground.stick_facts import at_most_pct, off_cubic_words, told_curve
from benchapp.presentation.ground.stick_reasons import by_stops, no_curve
from benchapp.presentation.ground.too_few import is_too_few, too_few_figure
from benchapp.presentation.sweep.deviation import deviation
from benchapp.presentation.sweep.staircase import staircase
from benchapp.presentation.sweep.sweep_computed import sweep_computed
from benchapp.presentation.sweep.sweep_details import AGAINST, sweep_details
from benchapp.presentation.sweep.sweep_tables import (
    positions_table,
    share_table,
    strokes_table,
    sweep_table,
)
from benchapp.presentation.sweep.transfer import transfer
from benchapp.records.findings import RunFindings
from benchapp.records.method import FEWEST_CYCLES
from benchapp.records.sweep_findings import Linearity


def sweep_definition(found: Linearity) -> str:
    """Return what the verdict's words mean exactly, in one or two sentences."""
    straight = (
        "Straightness (best line): half the height of the narrowest band between two parallel straight lines "
        "that holds "
        f"the averaged curve of the servo pulse against {AGAINST[found.against]}, in % of output span."
    )
    if by_stops(found):
        return straight
    return (
        f"{straight} Around the centre: how far the stick moves there while the pulse changes by no more than one step."
    )


def sweep_figure(run: RunFindings, found: Linearity, *, key: str, practice: bool) -> tuple[Block, ...]:
    """Return the figure, large, with the lines that say what it stands for."""
    line = found.lines.get("independent")
    value, give = value_and_u(None if line is None else line.deviation_pct, found.expanded_uncertainty_pct)
    most = None if line is None else at_most_pct(line)
    if line is not None and is_too_few(run):
        what, lines = "Full cycles, there and back,", (f"{_measured(found)}.",)
        return too_few_figure(what, found.cycles, FEWEST_CYCLES, "cycles", lines, key=key, practice=practice)
    mark = f"{PRACTICE_MARK} · " if practice else ""
    if line is None:
        spread = f"no figure: {no_curve(run.notes)}"
    elif most is not None:
        value, spread = at_places(most, uncertainty_places(most)), "at most: less than can be told from straight"
    elif exists(found.expanded_uncertainty_pct):
        spread = f"give or take {give}{NBSP}%"
    else:
        spread = "give or take cannot be told"
    figure = KeyFigure(
        label=f"{mark}Straightness (best line), of full travel",
        value=value,
        unit="%",
        spread=spread,
        lines=tuple(_lines(found)),
    )
    return (Heading(text="The figure", key=f"{key}figure"), figure)


def _measured(found: Linearity) -> str:
    return f"{counted(found.cycles, 'full cycle')}, against {AGAINST[found.against]}"


def _lines(found: Linearity) -> Iterable[str]:
    line = found.lines.get("independent")
    measured = _measured(found)
    if line is None:
        yield f"{measured}."
        return
    most = at_most_pct(line)
    off = digits((line.deviation_pct if most is None else most) * (found.span_us or 0.0) / 100.0, 2, "µs")
    size = f"{off}{' at most' if most is not None else ''}"
    yield f"{size} of {digits(found.span_us, 4, 'µs')}; {measured}, {counted(found.positions, 'position')}."
    if found.smooth_curve:
        yield f"A smooth curve, as an expo setting gives; off it by {off_cubic_words(found)}."
    if most is not None:
        yield (
            "What was seen lies below its own give or take, so only the most it can be is stated: the one and the "
            f"other together, for 95{NBSP}% coverage."
        )
    elif exists(found.expanded_uncertainty_pct) and exists(found.k):
        yield (
            "Give or take is the expanded uncertainty U of straightness, every budget line in it, coverage factor "
            f"k{NBSP}={NBSP}{at_places(found.k, 2)}, for 95{NBSP}% coverage."
        )


def sweep_plots(found: Linearity, *, key: str, practice: bool) -> tuple[Block, ...]:
    """Return the plots of a sweep; one that cannot be drawn is named with the reason."""
    drawn = (
        ("The transfer curve", transfer(found, practice=practice), "there is no curve"),
        ("The plot of deviations", deviation(found, practice=practice), "there is no curve"),
        (
            "The close-up of the steps",
            staircase(found, practice=practice),
            "by stops no pulse is read between positions" if by_stops(found) else "too few servo pulses came there",
        ),
    )
    blocks: list[Block] = [Heading(text="The stick's travel", key=f"{key}plots")]
    for name, figure, why in drawn:
        blocks.append(figure or Paragraph(text=f"{name} cannot be drawn: {why}.", tone=Tone.SOFT))
    return tuple(blocks)


def sweep_tables(run: RunFindings, found: Linearity, *, key: str) -> tuple[Block, ...]:
    """Return the tables of a sweep, and how its figures were computed."""
    curve = exists(found.span_us)
    details = "Ends, middle, lag and steps" if curve else "The sweep"
    blocks: list[Block] = [
        Heading(text="Tables", key=f"{key}tables"),
        *((sweep_table(found, run.notes, key=key),) if curve else ()),
        Heading(text=details, key=f"{key}details", level=3),
        Facts(caption=details, rows=sweep_details(run, found), label_share=0.36),
    ]
    if found.uncertainty:
        blocks.append(share_table(found, key=key))
    if found.strokes:
        blocks.append(strokes_table(found, key=key))
    shown = told_curve(found)
    if shown is not None:
        blocks.append(positions_table(found, shown, key=key))
    computed = sweep_computed(found)
    if computed:
        blocks += [Heading(text="How it was computed", key=f"{key}computed", level=3), Bullets(items=computed)]
    return (*blocks, *output_part(run, key=key))
