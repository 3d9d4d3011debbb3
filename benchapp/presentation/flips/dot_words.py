"""One flip in a sentence: what a person reads when a dot is chosen."""

from benchapp.presentation.ground.numbers import NBSP, at_places, counted, with_unit
from benchapp.presentation.ground.wording import direction_words, exclusion_reason
from benchapp.records.findings import Excluded, Latency, Trial


def trial_sentence(trial: Trial) -> str:
    """Return what one answered flip says: its latency to each point, and what was odd about it."""
    parts = [
        f"Flip {trial.flip}, {direction_words(trial.direction)}, at {at_places(trial.at_ns / 1e9, 2)}{NBSP}s",
        f"half-way {with_unit(trial.mid_ms, 3, 'ms')}",
    ]
    if trial.first_ms is not None:
        parts.append(f"starts {with_unit(trial.first_ms, 3, 'ms')}")
    if trial.near_final_ms is not None:
        parts.append(f"nearly there {with_unit(trial.near_final_ms, 3, 'ms')}")
    if trial.missing_pulses:
        parts.append(f"{counted(trial.missing_pulses, 'pulse')} missing")
    if trial.near_half_way:
        parts.append("a pulse near half-way")
    return "; ".join(parts) + "."


def excluded_sentence(flip: Excluded, *, window_s: float | None) -> str:
    """Return why one flip was left out."""
    at_s = at_places(flip.at_ns / 1e9, 2)
    return f"Flip {flip.flip}, at {at_s}{NBSP}s, left out: {exclusion_reason(flip, window_s=window_s)}."


def latency_summary(latency: Latency) -> str:
    """Return how many flips the dots stand for."""
    left_out = f", {len(latency.excluded)} left out" if latency.excluded else ""
    return f"{len(latency.trials)} of {counted(latency.flips, 'flip')} answered{left_out}."


def flip_says(latency: Latency, flip: int) -> str:
    """Return what one flip says, answered or left out; "" for a number that no flip has."""
    trial = next((trial for trial in latency.trials if trial.flip == flip), None)
    if trial is not None:
        return trial_sentence(trial)
    left_out = next((found for found in latency.excluded if found.flip == flip), None)
    return "" if left_out is None else excluded_sentence(left_out, window_s=latency.window_s)
