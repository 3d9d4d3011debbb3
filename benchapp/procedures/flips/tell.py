"""What a switch-flip run tells of itself while it goes on."""

from collections.abc import Sequence
from dataclasses import replace

from benchapp.procedures.flips.figure_so_far import FigureSoFar
from benchapp.procedures.flips.stop_rules import flips_left, minutes_left, out_of_reach, switch_ons_left
from benchapp.procedures.ground.open_run import OpenRun
from benchapp.procedures.ground.progress import Prompt, RunProgress
from benchapp.records.flip_seen import last_flip


def tell_flips(
    progress: RunProgress,
    run: OpenRun,
    figure: FigureSoFar,
    *,
    flips_ns: Sequence[int],
    last_flip_ns: int | None,
    prompt: Prompt,
) -> RunProgress:
    """Return a progress with the flips at flips_ns, the figure so far, and about what is left of the run.

    last_flip_ns : the flip whose trial closed last, None before the first [ns]
    """
    settings, so_far, blocks = run.plan.settings, figure.so_far(len(flips_ns)), run.log.blocks
    left = flips_left(settings, so_far)
    last_ms, last_code = figure.answer(last_flip_ns)
    found = figure.latency
    minutes = minutes_left(
        settings,
        left,
        start_ns=run.plan.start_ns,
        now_ns=run.now_ns,
        usual_spacing_ns=_usual_spacing_ns(flips_ns),
    )
    progress = replace(
        progress,
        prompt=prompt,
        flips=so_far.flips,
        answered=so_far.answered,
        wanted=settings.flips,
        target_ms=settings.target_ms,
        last_ms=last_ms,
        last_code=last_code,
        half_width_ms=so_far.half_width_ms,
        out_of_reach=out_of_reach(settings, so_far),
        flips_left=left,
        switch_ons_left=switch_ons_left(settings, so_far, blocks=blocks),
        minutes_left=minutes,
        switch_ons=settings.switch_ons or 1,
    )
    if found is None:
        return progress
    return replace(
        progress,
        value_ms=found.headline.value_ms,
        stands_for=found.headline.stands_for,
        seen_switch_ons=found.switch_ons,
        any_half_width_ms=found.any_switch_on.expanded_uncertainty_ms,
        stragglers=found.stragglers,
        last_flip=last_flip(found),
        found=found,
    )


def _usual_spacing_ns(flips_ns: Sequence[int]) -> float | None:
    return (flips_ns[-1] - flips_ns[0]) / (len(flips_ns) - 1) if len(flips_ns) > 1 else None
