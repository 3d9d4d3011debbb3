"""What a figure stands for, in words: this switch-on of the transmitter, or any."""

from benchapp.presentation.ground.enough import has_figure
from benchapp.presentation.ground.numbers import DASH, NBSP, exists, give_or_take, in_words, value_and_u
from benchapp.records.codes import Flag
from benchapp.records.findings import ANY_SWITCH_ON, THIS_SWITCH_ON, Latency, RunFindings

ANY = "any switch-on"


def stands_for_words(stands_for: str, switch_ons: int = 1) -> str:
    """Return "this switch-on", "these two switch-ons" or "any switch-on"; "" for a code without words."""
    if stands_for == THIS_SWITCH_ON:
        return "this switch-on" if switch_ons < 2 else f"these {in_words(switch_ons)} switch-ons"
    return ANY if stands_for == ANY_SWITCH_ON else ""


def figure_for(value_ms: float | None, u_ms: float | None, stands_for: str, switch_ons: int = 1) -> str:
    """Return "24.06 ms, give or take 0.92 ms (this switch-on)"."""
    shown = give_or_take(value_ms, u_ms, "ms")
    words = stands_for_words(stands_for, switch_ons)
    return f"{shown} ({words})" if words and shown != DASH else shown


def any_beside(value_ms: float | None, u_ms: float | None, stands_for: str) -> str:
    """Return "any switch-on: 24 ms, give or take 13 ms", to stand beside a figure of one or two switch-ons; else ""."""
    value, u = value_and_u(value_ms, u_ms)
    if stands_for != THIS_SWITCH_ON or DASH in (value, u):
        return ""
    return f"{ANY}: {give_or_take(value_ms, u_ms, 'ms')}"


def beside_headline(latency: Latency) -> str:
    """Return the figure for any switch-on where there is one and the headline does not stand for it, else ""."""
    figure = latency.any_switch_on
    if not has_figure(latency):
        return ""
    return any_beside(figure.value_ms, figure.expanded_uncertainty_ms, latency.headline.stands_for)


def band_words(latency: Latency) -> tuple[str, str]:
    """Return what the bands of a plot are called: the headline's, and that of any switch-on ("" where it is one)."""
    if not has_figure(latency):
        return "", ""
    headline = latency.headline
    _, u = value_and_u(headline.value_ms, headline.expanded_uncertainty_ms)
    _, wide = value_and_u(latency.any_switch_on.value_ms, latency.any_switch_on.expanded_uncertainty_ms)
    name = stands_for_words(headline.stands_for, latency.switch_ons)
    own = "" if u == DASH else f"{name} ± {u}{NBSP}ms"
    other = "" if headline.stands_for != THIS_SWITCH_ON or wide == DASH else f"{ANY} ± {wide}{NBSP}ms"
    return own, other


def bands(latency: Latency) -> tuple[tuple[float, float], ...]:
    """Return the headline's value give or take its uncertainty, and that of any switch-on where it is another, [ms]."""
    if not has_figure(latency):
        return ()
    headline, wide = latency.headline, latency.any_switch_on
    pairs = [(headline.value_ms, headline.expanded_uncertainty_ms)]
    if headline.stands_for == THIS_SWITCH_ON:
        pairs.append((wide.value_ms, wide.expanded_uncertainty_ms))
    return tuple((value - u, value + u) for value, u in pairs if exists(value) and exists(u))


def next_switch_on(run: RunFindings, latency: Latency) -> str:
    """Return what the next switch-on may bring, where the run does not say it by a flag; "" from three on."""
    if not beside_headline(latency) or Flag.ONE_POWER_UP in run.flags:
        return ""
    seen = "One switch-on" if latency.switch_ons < 2 else f"{in_words(latency.switch_ons).capitalize()} switch-ons"
    return (
        f"After the next switch-on the figure may differ, by as much as a frame: {seen.lower()} cannot show whether "
        "this set keeps step with its own frame."
    )


def bands_sentence(latency: Latency) -> str:
    """Return what the line and the bands of a plot are: "Line and band: this switch-on ± 0.64 ms; wide band: …"."""
    own, other = band_words(latency)
    if not own:
        return ""
    return f"Line and band: {own}; wide band: {other}." if other else f"Line and band: {own}."
