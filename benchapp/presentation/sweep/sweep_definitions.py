"""The definitions a report of a sweep prints: our own words, with whose usage they follow."""

from collections.abc import Mapping

from benchapp.presentation.ground.page import Definition

_LINEARITY = "usage of IEC 61298-2 and ISA-51.1"
_CONVERTER = "usage of converter tests (code density)"

SWEEP_DEFINITIONS: Mapping[str, Definition] = {
    "span": Definition(
        word="Full travel",
        meaning="The output span: the servo pulse at one end of the stick's travel less that at the other. Where "
        "the pulse stops following before the stick is at its end, the ends are those of the part where it "
        "follows. Every percentage of straightness, hysteresis and repeatability is of this span.",
        source=_LINEARITY,
    ),
    "stroke": Definition(
        word="Stroke, cycle, rest",
        meaning="A stroke is one way of the stick from turn to turn; a full cycle is a stroke from end to end and "
        "the one back. A rest is at least 0.5 s without motion at an end.",
    ),
    "curve": Definition(
        word="Averaged curve",
        meaning="The servo pulse half-way between coming up and going down, at even positions along the travel, or "
        "at the stops. Lines are laid through it.",
    ),
    "independent": Definition(
        word="Straightness (best line)",
        meaning="Independent linearity: half the height of the narrowest band between two parallel straight lines "
        "that holds the averaged curve; the line in its middle is free in slope and offset.",
        source=_LINEARITY,
    ),
    "terminal": Definition(
        word="Straightness (end to end)",
        meaning="Terminal-based linearity: the greatest distance of the averaged curve from the straight line "
        "through its two end points, with its sign.",
        source=_LINEARITY,
    ),
    "zero": Definition(
        word="Straightness (from the low end)",
        meaning="Zero-based linearity: half the height of the band that holds the averaged curve round a straight "
        "line held at the end point with the lower stick reading; its slope is the one that makes the band "
        "least.",
        source=_LINEARITY,
    ),
    "smooth": Definition(
        word="A smooth curve",
        meaning="A travel that the best cubic, the one whose greatest distance from the averaged curve is the least, "
        "follows to less than a third of what the best straight line leaves: as an expo setting bends it.",
    ),
    "apart": Definition(
        word="Largest difference, up to down",
        meaning="Hysteresis, dead band included: the largest difference at one position between the servo pulse "
        "reached coming up and going down. It counts as resolved from 3.7 standard uncertainties of one "
        "such difference on, what the lag is unsure of among it.",
        source=_LINEARITY,
    ),
    "lag": Definition(
        word="Lag, and the hysteresis fitted with it",
        meaning="A lag L shears a moving sweep just as hysteresis h does, so both are fitted together: y = f(x(t − "
        "L)) − sign(v)·h/2, where x is the stick, y the pulse, v the stick's speed and f a smooth curve. L "
        "runs from the stick to the leading edge of the pulse that carries its position. Where the strokes "
        "are too much alike in speed neither is given.",
    ),
    "repeat": Definition(
        word="Repeatability, from the same side",
        meaning="The standard deviation, pooled over all positions, of single strokes' readings of one direction, less "
        " the share that the scatter of single pulses and the probe have in it. The largest spread is the greatest "
        "difference among such readings, that share in it.",
        source="usage of ISO 5725, and of IEC 61298-2 for the largest spread",
    ),
    "play": Definition(
        word="Play around the centre, play on turning back",
        meaning="Around the centre: the range of stick movement about mid-travel within which the pulse changes by no "
        "more than one step; it counts only where it is wider than the curve's own slope makes it. On turning back: "
        "how far the stick comes back from a rest at an end before the pulse moves (dead band). Both in % of the "
        "stick's travel, the input.",
    ),
    "middle": Definition(
        word="Middle, halves and bow",
        meaning="The middle is the averaged curve at mid-travel, compared with 1500 µs (common practice, no "
        "source). The halves are the output's ways from the middle to either end. The bow is how far the "
        "middle of a parabola through the curve lies from the straight line between its ends.",
    ),
    "resolution": Definition(
        word="Step of the servo pulse",
        meaning="The distance of the even places at which durations pile up, from the lowest-frequency peak above "
        "0.5 in the normalised spectrum of their histogram. New values are counted where a pulse differs "
        "from the one before by more than half a step and than noise would.",
    ),
    "evenness": Definition(
        word="Evenness of the steps",
        meaning="A step's width is the travel over which it showed. The widths' greatest distance from the mean "
        "width is the differential, the places' greatest distance from even places the integral "
        "non-linearity, both in steps.",
        source=_CONVERTER,
    ),
    "least": Definition(
        word="Line of least squares",
        meaning="Through the averaged positions, from sums about the means; standard uncertainties of slope and "
        "intercept with n − 2 degrees of freedom.",
        source="form of JCGM 100, H.3",
    ),
}
