"""The definitions a report of flips prints: our own words, with whose usage they follow."""

from collections.abc import Mapping

from benchapp.presentation.ground.page import Definition

_IEEE_181 = "usage of IEEE Std 181"
_JCGM = "usage of JCGM 100"

FLIP_DEFINITIONS: Mapping[str, Definition] = {
    "flip": Definition(
        word="Flip",
        meaning="A change of the control. Its time t0 is the first contact edge of a burst; edges closer together "
        "than the bounce time belong to one burst, and a burst that ends where it began is a glitch.",
    ),
    "pulse": Definition(
        word="Servo pulse",
        meaning="One pulse on the servo output. Its value is its duration, from its leading to its trailing edge; "
        "until it ends, a servo cannot know it. Only durations from 0.3 to 2.7 ms count.",
    ),
    "frame": Definition(
        word="Frame",
        meaning="The time between the leading edges of consecutive servo pulses; T is the run's median.",
    ),
    "levels": Definition(
        word="Before and after",
        meaning="The medians of the last 10 servo pulses (at least 5 pulses) that end at or before t0, and of the last "
        "10 pulses (at least 5 pulses) before the next flip or the end of the run. The step is their difference, and σ "
        "the standard deviation within both.",
        source=f"state levels: {_IEEE_181}",
    ),
    "points": Definition(
        word="Starts, half-way, nearly there",
        meaning="The first pulse beginning after t0 that is at or past 10 %, 50 % or 90 % of the step, where the next "
        "pulse agrees. The latency is that pulse's trailing edge minus t0. Half-way needs a step of at least 8 σ, the "
        "other two at least 30 σ.",
        source=f"reference levels: {_IEEE_181}",
    ),
    "figure": Definition(
        word="The figure",
        meaning="The mean half-way latency, trailing edge, over flips evenly spread in time, for this set-up: the "
        "plain mean, or the mean evened out over the frame, whichever has the narrower interval. From 3 switch-ons on "
        "it is the mean of the switch-ons' means.",
    ),
    "switch-ons": Definition(
        word="This switch-on, any switch-on",
        meaning="What reads the switch and what sends the frame may keep one offset while the transmitter stays on, "
        "and another after the next switch-on; a single switch-on cannot show it. This switch-on: the mean while the "
        "set stayed on, its give or take holding everything but that. Any switch-on: what the set does, from k "
        "switch-ons. Below 3 switch-ons a line T/√12/√k is added for those not seen, at any number of flips. From "
        "8 switch-ons on it is the mean of the switch-ons' means with their own spread, s/√k, and k − 1 degrees of "
        "freedom; below 8 switch-ons likewise, except where the set keeps step: there the variance is T²/12/k and the "
        "mean variance within a switch-on over k. A set keeps step where, over at least 60 flips, the whole frames "
        "from flip to answer step up no more than once round the frame, in every switch-on of at least 12 flips. From "
        "3 switch-ons on, any switch-on is the figure.",
    ),
    "stragglers": Definition(
        word="Stragglers",
        meaning="Answers later than the median and two and a half frames. With at least one, the figure is the mean of "
        "the usual answers, the share of stragglers has its Clopper-Pearson interval, and the plain mean of all is "
        "printed beside. Where there was not one, the share is at most what nineteen runs in twenty would have shown.",
    ),
    "trend": Definition(
        word="Trend",
        meaning="From 30 flips on, the slope of the latency over the run's time, fitted to the means of at least eight "
        "stretches of about four flips; over many switch-ons, to their means. A trend beyond two and a half standard "
        "errors, by Student's t where the stretches are few, is said with its size; its change over the run enters "
        "the budget as a rectangular distribution.",
        source=f"rectangular distribution: {_JCGM}",
    ),
    "answered": Definition(
        word="Answered",
        meaning="A flip with a half-way point inside the answer window, which is the longer of 0.5 s and 20 frames, "
        "and never reaches past the next flip.",
    ),
    "balanced": Definition(
        word="Evened out over the frame",
        meaning="Each flip weighs as much of the frame as lies nearer to it than to its neighbours, so that flips "
        "crowding one part of the frame do not count for more.",
    ),
    "step": Definition(
        word="Kept step",
        meaning="The flips kept step with the radio if the Rayleigh or the Kuiper test gives p below 0.001 (p below "
        "0.01 where there are fewer than 30 flips), or if the largest gap round the frame is above 30 % of it (then 40 "
        "%). Uneven is said of a gap that evenly random flips would leave in at most 1 % of runs as long.",
    ),
    "statistics": Definition(
        word="Percentiles and spread",
        meaning="Percentiles are interpolated linearly between sorted values (type 7 of Hyndman and Fan); the "
        "standard deviation has n − 1 in its denominator. Intervals of the median and of the 95 % point come from "
        "order statistics and assume no shape.",
    ),
    "uncertainty": Definition(
        word="Give or take",
        meaning="The expanded uncertainty U: the standard uncertainties of every line of the budget, added as squares, "
        "times k for 95 % coverage. The interval from flips alone holds their spread only.",
        source=_JCGM,
    ),
    "stages": Definition(
        word="Stage",
        meaning="The part of the chain between two leads. At the module input a stage ends with the edge completing "
        "the channel's interval past 50 % of its step; at the servo output, with the trailing edge of half-way. All "
        "stage means use the same flips and weights as the figure, so that they add up.",
    ),
    "waiting": Definition(
        word="Waiting for the next frame",
        meaning="A switch that may be flipped at any moment waits between nothing and one frame T: on average T/2, "
        "with a standard deviation of T/√12.",
        source=f"rectangular distribution: {_JCGM}",
    ),
}
