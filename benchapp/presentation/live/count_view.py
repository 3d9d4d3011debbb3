"""A test that only counts, as the run page shows it."""

from benchapp.presentation.ground.numbers import DASH
from benchapp.presentation.ground.run_words import PROMPTS, pause_sentence, stop_sentence
from benchapp.presentation.live.run_shown import RunState, RunView, short_prompt
from benchapp.presentation.shown import counted_words
from benchapp.procedures.ground.progress import RunProgress

NOTHING_DROPPED = "Nothing can be left out of this test. Pause if something went wrong, or stop and keep."


def count_view(run: RunProgress, counts: int) -> RunView:
    """Return what the page shows of a run that counts; it has no figure before its findings."""
    if run.outcome:
        state, sentence = RunState.ENDED, stop_sentence(run.stop_reason)
    elif run.paused:
        state, sentence = RunState.PAUSED, f"{pause_sentence(run.paused)} Carry on, or stop and keep."
    else:
        state, sentence = RunState.GOING, f"{PROMPTS[run.prompt]}."
    return RunView(
        state=state,
        prompt=short_prompt(run),
        sentence=sentence,
        act_now=False,
        count=counted_words(run.test, counts),
        share=None,
        last="",
        figure=DASH,
        give_or_take="",
        left="",
        minutes="",
        dropped="",
        blocks="",
        can_drop=False,
        can_undrop=False,
        no_drop=NOTHING_DROPPED,
    )
