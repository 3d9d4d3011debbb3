"""The words of a comparison and how its figures are found."""

from benchapp.presentation.ground.page import Definition

DEFINITIONS = (
    Definition(
        word="Figure of a set",
        meaning="What the set does at any switch-on: the mean of its switch-ons' means, each counting alike (with one "
        "or two switch-ons the mean of its flips). From three sessions on three days on, the mean of the days' means.",
    ),
    Definition(
        word="Give or take of a set",
        meaning="How far the means of eight or more switch-ons lie apart, over the root of their number. With three "
        "to seven the same, except for a set that keeps step with its frame: its switch-ons lie anywhere in one "
        "frame, T/√12 over the root of their number, and the flips within each. With one or two: the flips, and T/√12 "
        "over the root of their number for the switch-ons not seen. Beside it every other line of the sessions' "
        "budgets, the largest of each: nothing says that a pick-up or a probe stayed untouched between two sessions.",
    ),
    Definition(
        word="Difference",
        meaning="The figure of one set less that of the other. Its standard uncertainty is the root of both squares, "
        "its degrees of freedom follow from both, its interval is Student's t at 95 % for one pair, at 1 − 0.05/m for "
        "m.",
        source="Welch, Satterthwaite; JCGM 100:2008, G.4.1",
    ),
    Definition(
        word="Different, cannot tell",
        meaning="Different only where the interval leaves out zero. Otherwise these flips cannot tell, which is no "
        "proof that there is no difference: the larger end of the interval says how large it could be.",
    ),
    Definition(
        word="Quickest",
        meaning="Asked directly: a set is the quickest where it is surely quicker than every other, one-sided at 1 − "
        "0.05/(s − 1) for s sets; named wrongly in at most 5 %. Otherwise those that no other surely beats are named, "
        "the true quickest among them in at least 95 %.",
    ),
    Definition(
        word="Would tell",
        meaning="The smallest number of switch-ons of each set whose interval would be no wider than the difference, "
        "if that is what it looks like and the sets go on as they did.",
    ),
    Definition(
        word="Smaller than an aim",
        meaning="Where a reader states what difference would matter: certain where both one-sided tests say so, each "
        "at 5 % (divided by the number of pairs).",
        source="two one-sided tests",
    ),
    Definition(
        word="Quantities of sweeps and holds",
        meaning="Judged where both values carry an uncertainty of their own, or come from three runs each; those of a "
        "pair share one level, and where the sets were timed they stand beside the delay and decide nothing of it.",
    ),
    Definition(
        word="Shown, not judged",
        meaning="A quantity without an uncertainty of its own, from fewer than three runs: it stands side by side, and "
        "nothing follows from it.",
    ),
)
"""In the order a reader needs them."""
