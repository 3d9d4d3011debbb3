"""The two gives or takes of a figure of flips, each named in words: this switch-on, and any."""

from benchapp.presentation.flips.switch_on_words import ANY, stands_for_words
from benchapp.presentation.ground.enough import has_figure
from benchapp.presentation.ground.numbers import DASH, NBSP, in_words, value_and_u
from benchapp.presentation.ground.page import Band
from benchapp.records.findings import ANY_SWITCH_ON, THIS_SWITCH_ON, Latency


def figure_bands(latency: Latency) -> tuple[Band, ...]:
    """Return the headline's give or take and, where it stands for these switch-ons only, that of any; () without one.

    Each to two digits, with what it holds for: "± 0.64 ms", "this switch-on".
    """
    if not has_figure(latency):
        return ()
    headline, wide = latency.headline, latency.any_switch_on
    _, own = value_and_u(headline.value_ms, headline.expanded_uncertainty_ms)
    _, other = value_and_u(wide.value_ms, wide.expanded_uncertainty_ms)
    tried = _tried(latency.switch_ons)
    found = []
    if headline.stands_for == ANY_SWITCH_ON:
        found.append((own, f"{ANY} ({tried})"))
    else:
        found.append((own, stands_for_words(headline.stands_for, latency.switch_ons)))
    if headline.stands_for == THIS_SWITCH_ON:
        found.append((other, f"{ANY} ({tried})"))
    return tuple(Band(give=f"±{NBSP}{give}{NBSP}ms", holds_for=words) for give, words in found if give != DASH)


def _tried(switch_ons: int) -> str:
    return f"{in_words(switch_ons)} {'was' if switch_ons == 1 else 'were'} tried"
