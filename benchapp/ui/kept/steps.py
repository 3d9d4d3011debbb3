"""The places the window can be at: Start, then six steps in the order of the job."""

from enum import Enum


class Step(Enum):
    """A place: its key and its words on the rail."""

    START = ("start", "Start")
    BENCH = ("bench", "On the bench")
    LEADS = ("leads", "Leads")
    SAFE = ("safe", "Make it safe")
    TESTS = ("tests", "Tests")
    FINDINGS = ("findings", "Findings")
    PUT_BACK = ("put-back", "Put it back")

    @property
    def key(self) -> str:
        """The place's key."""
        return self.value[0]

    @property
    def words(self) -> str:
        """The place's words."""
        return self.value[1]


NUMBERED = tuple(step for step in Step if step is not Step.START)
"""The six steps; Ctrl+1 to Ctrl+6 go to them."""
