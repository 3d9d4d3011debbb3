"""Words of the page that tests a probe."""

from benchapp.presentation.screens.port_page_words import PortPageWords
from benchapp.presentation.screens.probe_words import ask_before_testing
from benchapp.records.self_test import SelfTestProgress, SelfTestStep

WORDS = PortPageWords(
    title="Test the probe",
    sentence="Does this board keep what it promises? What is found of its leads becomes part of every give or take "
    "from then on.",
    port="Port of the probe",
    no_port="No port yet. Plug the probe in, then look again.",
    ask=ask_before_testing,
    agreed="Only the test's wire is on it, and nothing can move",
    bar="How far the test is",
    stop="Stop",
    stop_name="Stop the test",
    stopping="Stopping …",
    run_goes_on="A run goes on. Stop it first: the test lets go of the probe.",
)
LEADS_WORDS = (
    "Its leads: take everything off the probe but its USB plug. You are told where to put one wire, from the flip "
    "lead to each on-off lead in turn; each takes a few seconds."
)
CLOCK_WORDS = "Its clock: a minute beside this computer's own. Nothing to do but wait."
LEADS_DONE = "What its leads do"
CLOCK_DONE = "How its clock goes"


def share_done(progress: SelfTestProgress) -> tuple[int, int]:
    """Return how many edges of the lead are done, and how many there are; (0, 0) where nothing is counted."""
    return (progress.done, progress.total) if progress.step is SelfTestStep.MEASURE else (0, 0)
