"""Every code has its words."""

import pytest

from benchapp.presentation import shown
from benchapp.presentation.ground import run_words, wording
from benchapp.presentation.ground.numbers import NBSP
from benchapp.procedures.gate import Why
from benchapp.procedures.ground.progress import PauseReason, Prompt, StopReason
from benchapp.records.events import SWITCH_ON
from benchapp.records.findings import Excluded
from benchapp.records.leads import ROLES
from benchapp.records.named_tests import names_of_tests
from benchapp.records.run import Outcome, PickUp

EXCLUSION_CODES = (
    "dropped", "paused", "probe-gap", "no-level-before", "next-flip-too-soon", "run-ended", "step-too-small",
    "already-there", "no-answer",
)  # fmt: skip
FLAG_CODES = (
    "phase-locked", "phase-stepped", "insufficient", "polarity-guessed", "damaged-evidence", "probe-gap", "ramp",
    "coarse-stamps", "practice", "one-power-up",
)  # fmt: skip


def left_out(code: str, **values: float) -> Excluded:
    return Excluded(flip=1, at_ns=0, code=code, **values)  # type: ignore[arg-type]


@pytest.mark.parametrize("code", EXCLUSION_CODES)
def test_every_exclusion_code_has_a_plain_reason(code: str) -> None:
    reason = wording.exclusion_reason(left_out(code), window_s=0.5)
    assert reason
    assert "without words" not in reason
    assert reason == reason.strip(". ")


def test_reasons_carry_the_facts() -> None:
    assert wording.exclusion_reason(left_out("no-answer"), window_s=0.5) == f"no answer within 0.5{NBSP}s"
    assert wording.exclusion_reason(left_out("no-answer"), window_s=0.66) == f"no answer within 0.66{NBSP}s"
    assert wording.exclusion_reason(left_out("no-answer"), window_s=None) == "no answer in time"
    small = wording.exclusion_reason(left_out("step-too-small", step_us=-12.0, sigma_us=2.0), window_s=0.5)
    assert small == f"the output moved by 12{NBSP}µs only, beside a noise of 2.0{NBSP}µs"
    dropped = wording.exclusion_reason(left_out("dropped", mid_ms=31.254), window_s=0.5)
    assert dropped == f"dropped by hand; it had taken 31.25{NBSP}ms"


@pytest.mark.parametrize("code", FLAG_CODES)
def test_every_flag_has_a_sentence(code: str) -> None:
    words = wording.flag_words(code)
    assert words is wording.FLAGS[code]
    assert words.sentence.endswith(".")
    assert words.title


def test_phase_locked_is_said_in_the_words_of_a_hobbyist() -> None:
    assert wording.FLAGS["phase-locked"].title == "your flips kept step with the radio"
    assert wording.FLAGS["insufficient"].title == "too few flips"


@pytest.mark.parametrize("note", ["near-half-way 3", "near-half-way:3", "near-half-way: 3"])
def test_a_note_carries_its_count(note: str) -> None:
    assert wording.note_sentence(note).startswith("3 flips had a pulse")


@pytest.mark.parametrize(
    "note",
    [
        "uneven",
        "near-half-way",
        "serial-output",
        "train-output",
        "strobed-contact",
        "two-steps",
        "stragglers 2",
        "trend",
    ],
)
def test_every_note_has_a_sentence(note: str) -> None:
    sentence = wording.note_sentence(note)
    assert sentence.endswith(".")
    assert "no words" not in sentence


@pytest.mark.parametrize("code", ["from-the-future", "<b>x</b>", "\u202eevil", "x" * 5000, ""])
def test_unknown_codes_are_said_to_be_unknown_and_never_break(code: str) -> None:
    for text in (
        wording.flag_words(code).sentence,
        wording.note_sentence(code),
        wording.exclusion_reason(left_out(code), window_s=None),
        wording.role_words(code),
        shown.test_words(code),
        wording.budget_words(code),
        run_words.stop_sentence(code),
        run_words.pause_sentence(code),
    ):
        assert len(text) < 200
        assert "\u202e" not in text


def test_every_role_outcome_and_pick_up_has_words() -> None:
    assert {role: wording.role_words(role) for role in ROLES} == dict(wording.ROLES)
    assert wording.role_words("output-2") == f"servo output{NBSP}2"
    assert set(wording.OUTCOMES) == set(Outcome)
    assert set(wording.PICK_UPS) == set(PickUp)
    assert wording.OUTCOMES[Outcome.CUT_SHORT] == "stopped early"


def test_every_test_name_has_a_title() -> None:
    for name in names_of_tests():
        assert shown.test_words(name) != name


def test_every_budget_source_of_the_reduction_has_words() -> None:
    for source in (
        "stamp interval",
        "lead lateness",
        "coarse stamps",
        "clock",
        "pick-up",
        "driven opening",
        "phase",
        "switch-on",
        "sampling",
    ):
        assert wording.budget_words(source) != source or source in wording.BUDGET.values()
        assert source in wording.BUDGET


def test_every_code_of_a_run_has_words() -> None:
    assert set(run_words.PROMPTS) == set(Prompt)
    assert set(run_words.STOPS) == set(StopReason)
    assert set(run_words.PAUSES) == {*PauseReason, SWITCH_ON}
    assert set(run_words.REFUSALS) == set(Why)
