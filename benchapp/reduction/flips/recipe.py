"""The reduction of switch-flip."""

from benchapp.records.method import SHORTEST_WINDOW_NS, WINDOW_FRAMES
from benchapp.reduction.flips.answers import MID_SIGMAS, NEAR_SIGMAS, OUTER_SIGMAS
from benchapp.reduction.flips.switch_flip import reduce_switch_flip
from benchapp.reduction.ground.recipe import Recipe

PART = Recipe(
    reduce=reduce_switch_flip,
    settings={
        "shortest_window_s": SHORTEST_WINDOW_NS / 1e9,
        "window_frames": WINDOW_FRAMES,
        "mid_sigmas": MID_SIGMAS,
        "outer_sigmas": OUTER_SIGMAS,
        "near_half_way_sigmas": NEAR_SIGMAS,
    },
)
