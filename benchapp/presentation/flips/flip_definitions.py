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
        meaning="The medians of the last 10 servo pulses (at least 5 pulses) that end at or before t0, and of the "
        "last 10 pulses (at least 5 pulses) before the next flip or the run's end. The step is their "
        "difference, σ the standard deviation within both.",
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
        meaning="The mean half-way latency, trailing edge, over flips evenly spread in time: the plain mean or the "
        "one evened out over the frame, whichever has the narrower interval.",
    ),
    "switch-ons": Definition(
        word="This switch-on, any switch-on",
        meaning="What reads the switch and what sends the frame may keep one offset while the transmitter stays on, "
        "and another after the next switch-on. This switch-on: the mean while the set stayed on, its give or "
        "take holding everything but that offset. Any switch-on: what the set does, over k switch-ons. Below "
        "3 switch-ons a line T/√12/√k stands for those not seen. From 3 switch-ons on it is the mean of the "
        "switch-ons' means, s/√k with k − 1 degrees of freedom, and is the figure; below 8 switch-ons, where "
        "the set keeps step, its variance is T²/12/k and the mean variance within a switch-on over k. Keeping "
        "step: over at least 60 flips the whole frames to the answer step up no more than once round the "
        "frame, in every switch-on of at least 12 flips.",
    ),
    "stragglers": Definition(
        word="Stragglers",
        meaning="Answers later than the median and two and a half frames. Where there are any, the figure is the mean "
        "of the usual answers, beside it the stragglers' share with its Clopper-Pearson interval and the "
        "plain mean of all; otherwise the most their share can be (95 % sure).",
    ),
    "trend": Definition(
        word="Trend",
        meaning="From 30 flips on, the slope of the latency over the run's time, through the means of at least eight "
        "stretches (over many switch-ons, through their means). Beyond two and a half standard errors, by "
        "Student's t, it is said with its size; its change over the run enters the budget as a rectangular "
        "distribution.",
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
        "0.01 under 30 flips), or the largest gap round the frame is above 30 % (then 40 %). Uneven: a gap "
        "that evenly random flips leave in at most 1 % of such runs.",
    ),
    "statistics": Definition(
        word="Percentiles and spread",
        meaning="Percentiles are interpolated linearly (type 7 of Hyndman and Fan); the standard deviation has n − 1 "
        "in its denominator. Intervals of the median and the 95 % point come from order statistics and assume "
        "no shape.",
    ),
    "uncertainty": Definition(
        word="Give or take",
        meaning="The expanded uncertainty U: the standard uncertainties of the budget's lines added as squares, times "
        "k for 95 % coverage. The interval from flips alone holds their spread only.",
        source=_JCGM,
    ),
    "stages": Definition(
        word="Stage",
        meaning="The part of the chain between two leads. At the module input it ends with the edge completing the "
        "channel's interval past 50 % of its step; at the servo output, with half-way's trailing edge. Stage "
        "means use the figure's flips and weights, so that they add up.",
    ),
    "waiting": Definition(
        word="Waiting for the next frame",
        meaning="A switch that may be flipped at any moment waits between nothing and one frame T: on average T/2, "
        "with a standard deviation of T/√12.",
        source=f"rectangular distribution: {_JCGM}",
    ),
}
