"""What the options of the switch-flip test say, what is proposed for it, and why no run can start."""

from collections.abc import Mapping

from benchapp.presentation.numbers import NBSP, at_places, counted
from benchapp.presentation.safety_view import safety_left
from benchapp.procedures.progress import Prompt, RunProgress
from benchapp.procedures.stop_rules import proposed_target_ms

BLOCKS = (1, 3, 5)
"""How many switch-ons are offered: one, the three an average over switch-ons needs, or five for a surer one."""
_NOT_THERE: Mapping[str, str] = {
    "looking": "The probe is still being looked for.",
    "lost": "The probe is lost. Plug it in again first.",
    "in-use": "Another program holds the port. Close it first.",
    "not-allowed": "You may not open this port.",
    "not-our-probe": "What answers on this port is not our probe.",
    "no-program": "Nothing answers on this port: there is no probe program on the board yet.",
    "old-program": "The probe has an old program. Put this version's on it first.",
    "other-probe": "Another probe answers than the one that was lost. Plug that one in again.",
    "closed": "No bench is open.",
}
_TURNS = frozenset({Prompt.FLIP_NOW, Prompt.HANDS_OFF})


def start_refusal(link: str, refusals: Mapping[str, str]) -> str:
    """Return why no run can start: the state of the probe, else the safety lines left; "" where one can."""
    return _NOT_THERE.get(link) or safety_left(refusals)


def blocks_words(blocks: int) -> str:
    """Return the words of one choice of switch-ons."""
    return "Stay on" if blocks == 1 else f"{blocks} switch-ons"


def proposed_text(frame_ms: float | None) -> str:
    """Return the give or take to propose as it is typed, "" where none can be."""
    target = proposed_target_ms(frame_ms)
    return "" if target is None else f"{target:.2f}"


def proposed_target(frame_ms: float | None) -> str:
    """Return the words that propose a give or take for a set with this frame."""
    target = proposed_target_ms(frame_ms)
    if target is None:
        return "A twentieth of the frame is proposed once servo pulses are there."
    shown = at_places(target, 2)
    return f"Proposed for this frame: {shown}{NBSP}ms. It stops from 30 flips on, once it is sure enough twice running."


def blocks_sentence(blocks: int, flips: int) -> str:
    """Return what a choice of switch-ons means for a run of so many flips."""
    if blocks == 1:
        return "The radio stays on: the figure is for this switch-on, and the next one may be another."
    each = counted(max(flips // blocks, 1), "flip")
    return f"After every {each} the run waits while the radio is switched off and on; you are told when."


def switch_on_due(run: RunProgress, blocks: int) -> bool:
    """Return whether it is time to switch the radio off and on: a block has its share, and no answer is awaited."""
    if run.outcome or run.paused or not run.wanted or run.blocks >= blocks or run.prompt not in _TURNS:
        return False
    return run.flips * blocks >= run.wanted * run.blocks


def who_sentence(*, driven: bool) -> str:
    """Return what it means who flips."""
    if driven:
        return "Hands off: each flip falls at another place of the frame, evenly spread, so that fewer are needed."
    return "Your own pace, and not in a beat: flips that keep step with the radio say less."
