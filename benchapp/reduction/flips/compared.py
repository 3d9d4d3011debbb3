"""What a switch-flip brings along to be compared: its latency, by its switch-ons."""

from benchapp.reduction.ground.compared_test import ComparedTest

PART = ComparedTest(timed=True)
