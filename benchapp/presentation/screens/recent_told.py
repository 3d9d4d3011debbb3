"""What the list of sessions says of a session's last run: its test, and the figure of that where it has one."""

from benchapp.presentation.flips.switch_on_words import figure_for
from benchapp.presentation.ground.enough import has_figure
from benchapp.presentation.ground.numbers import counted
from benchapp.records.findings import Latency, RunFindings


def recent_told(title: str, run: RunFindings) -> str:
    """Return the test, by its title, with its figure; below the least number of flips how many were answered."""
    latency = run.result
    if not isinstance(latency, Latency):
        return title
    if not has_figure(latency):
        return f"{title}: {len(latency.trials)} of {counted(latency.flips, 'flip')} answered"
    headline = latency.headline
    figure = figure_for(headline.value_ms, headline.expanded_uncertainty_ms, headline.stands_for, latency.switch_ons)
    return f"{title}: {figure}"
