"""Words of the page that tests a probe."""

from benchapp.presentation.cleaning import message_line
from benchapp.presentation.messages import Message
from benchapp.records.self_test import SelfTestProgress, SelfTestStep

TITLE = "Test the probe"
OFFER = "Test the probe…"
SENTENCE = (
    "Does this board keep what it promises? What is found of its leads becomes part of every give or take from then on."
)
LEADS_WORDS = (
    "Its leads: take everything off the probe but its USB plug. You are told where to put one wire, from the drive "
    "lead to each on-off lead in turn; each takes a few seconds."
)
CLOCK_WORDS = "Its clock: a minute beside this computer's own. Nothing to do but wait."
NO_PORT = "No port yet. Plug the probe in, then look again."
AGREED = "Only the test's wire is on it, and nothing can move"
RUN_GOES_ON = "A run goes on. Stop it first: the test lets go of the probe."
STOPPING = "Stopping …"
LEADS_DONE = "What its leads do"
CLOCK_DONE = "How its clock goes"


def share_done(progress: SelfTestProgress) -> tuple[int, int]:
    """Return how many edges of the lead are done, and how many there are; (0, 0) where nothing is counted."""
    return (progress.done, progress.total) if progress.step is SelfTestStep.MEASURE else (0, 0)


def trouble_lines(message: Message) -> str:
    """Return what went wrong and what to do, one under the other."""
    return "\n".join(part for part in (message_line(message.details, limit=600), message.do) if part)
