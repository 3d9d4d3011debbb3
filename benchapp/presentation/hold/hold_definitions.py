"""The definitions a report of a hold prints: our own words."""

from collections.abc import Mapping

from benchapp.presentation.ground.page import Definition

HOLD_DEFINITIONS: Mapping[str, Definition] = {
    "spread": Definition(
        word="Spread",
        meaning="The standard deviation of the servo pulse while nothing was touched, with n − 1 in its denominator; "
        "over several positions it is pooled, each about its own mean. Its limits are by chi-squared, with as many "
        "degrees of freedom as pulses that resemble their neighbours leave. The longest pulse less the shortest grows "
        "with the time held.",
    ),
    "floor": Definition(
        word="The probe's own spread",
        meaning="What the probe shows of pulses that are all alike: √((q1² + q2² + l1² + l2²)/12), with the stamp "
        "intervals q and the widths l of the lateness of both edges. Below twice that, a pulse is steadier than the "
        "probe can tell.",
    ),
    "drift": Definition(
        word="Drift",
        meaning="The slope of the line of least squares through the means of up to 24 stretches of the hold, eight at "
        "least; how much neighbouring stretches resemble each other widens its uncertainty. Over several positions the "
        "mean weighted by what each knows of it.",
    ),
    "wait": Definition(
        word="Longest wait, missing servo pulses",
        meaning="The longest time between the beginnings of two pulses that follow each other. Missing are the "
        "whole frames in such a time, less one; frames across a gap in the recording are not looked at.",
    ),
}
