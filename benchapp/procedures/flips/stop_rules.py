"""When a run has enough: flips, seconds, or a give-or-take that is good enough."""

import math
from dataclasses import dataclass

from benchapp.procedures.flips.switch_on_plan import flips_by, is_last
from benchapp.records.run import RunSettings

FIRST_LOOK = 30
LOOK_EVERY = 10
LOOKS_IN_A_ROW = 2
"""A target stops a run from 30 answered flips on, at every 10th, met at two looks running.

Looking more often makes the interval too narrow: simulated, its coverage falls to 88 to 95 %.
"""


@dataclass(frozen=True, kw_only=True, slots=True)
class FlipsSoFar:
    """What is known of a run so far, for the stop rules to judge.

    half_width_ms : the figure's give or take, every line of its budget in it; balanced : its estimator is
    rest_ms       : what would be left of the give or take after any number of flips, or, where the figure is a mean
                    over switch-ons, after any number of those
    switch_ons    : how many the figure is a mean over; 0 where its flips count as one run of them
    """

    flips: int
    answered: int
    half_width_ms: float | None
    balanced: bool
    rest_ms: float = 0.0
    switch_ons: int = 0


LEAST_TARGET_MS = 0.3
TARGET_SHARE = 20


def proposed_target_ms(frame_ms: float | None) -> float | None:
    """Return the give or take to propose, [ms]: a twentieth of the frame, at least 0.3; None without a frame."""
    return None if frame_ms is None else max(frame_ms / TARGET_SHARE, LEAST_TARGET_MS)


class TargetRule:
    """Says when the target is met; it must be shown every closed trial at which it may be, one after the other."""

    def __init__(self, target_ms: float | None) -> None:
        self._target_ms = target_ms
        self._last_look = FIRST_LOOK // LOOK_EVERY - 1
        self._in_a_row = 0

    def may_be_met(self, most_answered: int) -> bool:
        """Return whether a look is due if so many flips have been answered; it must not be more than are."""
        return self._target_ms is not None and most_answered // LOOK_EVERY > self._last_look

    def met(self, so_far: FlipsSoFar) -> bool:
        """Return whether this closed trial is the one to stop at."""
        look = so_far.answered // LOOK_EVERY
        if self._target_ms is None or look <= self._last_look:
            return False
        self._last_look = look
        good = so_far.half_width_ms is not None and so_far.half_width_ms <= self._target_ms
        self._in_a_row = self._in_a_row + 1 if good else 0
        return self._in_a_row >= LOOKS_IN_A_ROW


def flips_left(settings: RunSettings, so_far: FlipsSoFar) -> int | None:
    """Return about how many flips are left to the nearest stop rule that counts them; None if not known yet.

    The part h of the give or take that the flips make falls, for a plain mean, with the root of their number:
    n (h / aim)² are needed in all; for the balanced mean of a locked radio with the number: n h / aim; a mean over k
    switch-ons needs k (h / aim)² of them, with as many flips in each as they had so far. The aim is what the rest of
    the budget leaves of the target; where it leaves nothing, no number of flips is enough. A target is looked at in
    the last of the switch-ons asked for, and never before.
    """
    left = [] if settings.flips is None else [max(settings.flips - so_far.flips, 0)]
    target_ms, width_ms = settings.target_ms, so_far.half_width_ms
    if target_ms is not None and width_ms is not None and so_far.answered and not out_of_reach(settings, so_far):
        ratio = _ratio(target_ms, width_ms, so_far.rest_ms)
        needed = so_far.answered * (ratio if so_far.balanced else ratio**2)
        if so_far.switch_ons:
            needed = so_far.answered * (1 + _more_switch_ons(target_ms, width_ms, so_far) / so_far.switch_ons)
        # Two looks running, at multiples of ten, the first at 30.
        looks = max(-(-needed // LOOK_EVERY), FIRST_LOOK // LOOK_EVERY) + LOOKS_IN_A_ROW - 1
        looks = max(looks, _looks_of_the_last(settings))
        left.append(max(int(looks * LOOK_EVERY) - so_far.answered, 1))
    return min(left) if left else None


def _looks_of_the_last(settings: RunSettings) -> int:
    """Return at which look a target can be met at the earliest: its first is in the last switch-on, 0 with one only."""
    if (settings.switch_ons or 1) == 1:
        return 0
    first = flips_by(settings, (settings.switch_ons or 1) - 1) + 1
    return first // LOOK_EVERY + LOOKS_IN_A_ROW - 1


def _ratio(target_ms: float, width_ms: float, rest_ms: float) -> float:
    """Return how many times too wide the part of the give or take is that more of a run narrows."""
    return math.sqrt(max(width_ms**2 - rest_ms**2, 0.0) / (target_ms**2 - rest_ms**2))


def _more_switch_ons(target_ms: float, width_ms: float, so_far: FlipsSoFar) -> int:
    return max(math.ceil(so_far.switch_ons * _ratio(target_ms, width_ms, so_far.rest_ms) ** 2) - so_far.switch_ons, 0)


def switch_ons_left(settings: RunSettings, so_far: FlipsSoFar, *, blocks: int) -> int | None:
    """Return about how many switch-ons are left where they are what a run to a target waits for, else None.

    From three on the figure is the mean of the switch-ons' own means, which more flips in one hardly narrow. Of those
    asked for, the target is looked at in the last one alone; where somebody switches by hand, as many are needed as
    narrow the figure enough, unless the flips asked for are done before.
    """
    target_ms, width_ms = settings.target_ms, so_far.half_width_ms
    if target_ms is None:
        return None
    if not is_last(settings, blocks):
        return (settings.switch_ons or 1) - blocks
    if not so_far.switch_ons or width_ms is None or out_of_reach(settings, so_far):
        return None
    more = _more_switch_ons(target_ms, width_ms, so_far)
    room = math.inf if settings.flips is None else settings.flips - so_far.flips
    return more if more > 0 and more * so_far.answered / so_far.switch_ons <= room else None


def out_of_reach(settings: RunSettings, so_far: FlipsSoFar) -> bool:
    """Return whether the rest of the budget alone is wider than the target, so that no number of flips meets it."""
    return settings.target_ms is not None and so_far.half_width_ms is not None and so_far.rest_ms >= settings.target_ms


def minutes_left(
    settings: RunSettings, left: int | None, *, start_ns: int, now_ns: int, usual_spacing_ns: float | None
) -> float | None:
    """Return about how many minutes are left to the nearest stop rule, None if not known yet."""
    minutes = []
    if settings.seconds is not None:
        minutes.append(max(settings.seconds - (now_ns - start_ns) / 1e9, 0.0) / 60)
    if left is not None and usual_spacing_ns is not None:
        minutes.append(left * usual_spacing_ns / 60e9)
    return min(minutes) if minutes else None
