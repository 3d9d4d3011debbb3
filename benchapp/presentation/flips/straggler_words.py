"""Answers that came far too late, and a latency that changed while the run went on, in words."""

from benchapp.presentation.ground.numbers import (
    counted,
    digits,
    exists,
    in_words,
    percent,
    plainly,
    sentence_start,
    span,
    uncertainty_places,
    with_unit,
)
from benchapp.records.findings import Headline, Stragglers, Trend

SURE = "95 % sure"


def straggler_sentence(found: Stragglers | None) -> str:
    """Return how many answers straggled and what that says of the set's others; "" where it cannot be told."""
    if found is None or not exists(found.later_than_ms):
        return ""
    low, high = found.share_ci95
    if not (exists(low) and exists(high)):
        return ""
    if not found.flips:
        return f"No answer straggled; of such a set's flips at most {percent(high)} do ({SURE})."
    one = found.flips == 1
    when = digits(found.earliest_ms, 3, "ms") if one else span(found.earliest_ms, found.latest_ms, 0, "ms")
    return (
        f"{sentence_start(in_words(found.flips))} of {counted(found.answered, 'answer')} straggled, as after a lost "
        f"packet, and came {when} after the flip; between {percent(low)} and {percent(high)} of such a set's flips do "
        f"({SURE})."
    )


def usual_sentence(found: Stragglers, headline: Headline) -> str:
    """Return that the figure is one of the usual answers, and the mean of all; "" where none straggled."""
    if not found.flips or not exists(found.mean_all_ms):
        return ""
    places = uncertainty_places(headline.expanded_uncertainty_ms)
    return (
        "The figure is the mean of the usual answers; the plain mean of all, stragglers included, is "
        f"{with_unit(found.mean_all_ms, places, 'ms')} and hangs on how many of them a run meets."
    )


def straggler_limit(found: Stragglers) -> str:
    """Return what counts as a straggler in this run; "" where no frame is known."""
    if not exists(found.later_than_ms):
        return ""
    limit = plainly(found.later_than_ms, 3, "ms")
    return f"Stragglers: answers later than {limit}, the median and two and a half frames."


def trend_sentence(trend: Trend | None) -> str:
    """Return how the latency changed while the run went on; "" where it did not, or too few flips can tell."""
    if trend is None or not trend.significant:
        return ""
    way = "rose" if trend.ms_over_run > 0 else "fell"
    whole, rate = digits(abs(trend.ms_over_run), 2, "ms"), digits(abs(trend.ms_per_min), 2, "ms")
    return (
        f"While the run went on the latency {way} by {whole} ({rate} a minute), more than chance would have it. "
        "Warming up can do that, and so can two clocks that slip past each other; the give or take holds a line for it."
    )
