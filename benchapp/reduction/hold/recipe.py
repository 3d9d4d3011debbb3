"""The reduction of hold-still."""

from benchapp.records.method import FEWEST_HELD_PULSES, SEEN_LATE_NS
from benchapp.reduction.ground.recipe import Recipe
from benchapp.reduction.hold.hold_still import reduce_hold_still

PART = Recipe(
    reduce=reduce_hold_still,
    settings={"hold_touch_s": SEEN_LATE_NS / 1e9, "hold_fewest_pulses": FEWEST_HELD_PULSES},
)
