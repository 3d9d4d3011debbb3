"""The safety notes, and that no text anywhere lets a set fly."""

import ast
import re
from pathlib import Path

import pytest

from benchapp.presentation.ground.page import Signal
from benchapp.presentation.ground.safety import (
    MANUALS_WIN,
    PUT_BACK,
    PUT_BACK_NOTE,
    SAFETY,
    by_yes_safe,
    is_yes,
    notices,
    put_back_ticked,
    safety_words,
)
from benchapp.procedures.gate import SafetyLine


def test_every_line_of_the_gate_has_words() -> None:
    assert set(SAFETY) == set(SafetyLine)
    for line in SafetyLine:
        assert safety_words(line.value).endswith(".")


def test_every_line_is_worded_as_an_act_that_is_done() -> None:
    for line in set(SafetyLine) - {SafetyLine.ON_BENCH}:
        act = SAFETY[line].act
        assert act.startswith("I have "), line
        assert act.endswith(".")
        assert len(act.split()) <= 25
    assert SAFETY[SafetyLine.ON_BENCH].act == ""


def words_of(text: str, *, least: int) -> set[str]:
    return {word for word in re.findall(r"[a-z]+", text.lower()) if len(word) >= least}


def test_act_and_note_together_leave_nothing_out_that_the_text_warns_of() -> None:
    for line in set(SafetyLine) - {SafetyLine.ON_BENCH}:
        words = SAFETY[line]
        stems = {word[:4] for word in words_of(f"{words.act} {words.note}", least=4)}
        left_out = {word for word in words_of(words.text, least=5) if word[:4] not in stems}
        assert left_out <= SAID_OTHERWISE.get(line, set()), line


SAID_OTHERWISE = {
    SafetyLine.COMBUSTION_OFF: {"combustion", "engine"},
    SafetyLine.EARTH: {"never", "defeat"},
    SafetyLine.UNMODIFIED: {"under"},
}
"""Words of a text for which act and note have others."""


def test_what_can_hurt_is_caution_or_more_and_notice_is_for_property_only() -> None:
    gentle = {line for line, words in SAFETY.items() if words.signal is Signal.NOTICE}
    assert gentle == {SafetyLine.ONE_SUPPLY, SafetyLine.UNMODIFIED}
    silent = {line for line, words in SAFETY.items() if words.signal is None}
    assert silent == {SafetyLine.ON_BENCH, SafetyLine.PRACTICE, SafetyLine.RECEIVER_ONLY}


def test_notices_come_gravest_first_and_hold_every_line_that_warns() -> None:
    shown = notices()
    order = [notice.signal for notice in shown]
    assert order == [Signal.WARNING, Signal.CAUTION, Signal.NOTICE]
    lines = {line for notice in shown for line in notice.lines}
    assert {words.text for words in SAFETY.values() if words.signal is not None} <= lines


def test_the_propeller_comes_off_before_the_battery_goes_in() -> None:
    text = SAFETY[SafetyLine.PROPELLER_OFF].text
    assert "before the flight battery goes in" in text
    assert "not a safeguard" in text


def test_the_makers_manuals_win_and_nothing_is_declared_fit_to_fly() -> None:
    assert "they win" in MANUALS_WIN
    assert "not a statement that anything is fit to fly" in MANUALS_WIN


def test_put_back_counts_the_lines_whose_last_answer_is_a_yes() -> None:
    answers = [(line, "yes") for line in PUT_BACK]
    assert put_back_ticked(answers) == len(PUT_BACK)
    assert put_back_ticked(answers[1:]) == len(PUT_BACK) - 1
    assert put_back_ticked([]) == 0
    assert put_back_ticked([*answers, ("fail-safe", "no")]) == len(PUT_BACK) - 1


def test_what_yes_safe_answered_is_nobodys_yes() -> None:
    assert by_yes_safe("answered by --yes-safe")
    assert not is_yes("answered by --yes-safe")
    assert not by_yes_safe("yes")


def test_what_needs_a_licensed_or_qualified_person_is_theirs() -> None:
    for text in (MANUALS_WIN, SAFETY[SafetyLine.EARTH].text):
        assert "licensed or qualified person" in text
    assert "mains" in SAFETY[SafetyLine.EARTH].text


def test_eye_protection_and_soldering_are_said() -> None:
    assert "eye protection" in SAFETY[SafetyLine.PROPELLER_OFF].text
    opened = SAFETY[SafetyLine.OPENED_SET].text
    assert "Soldering" in opened
    assert "eye protection" in opened


def test_no_ticked_list_lets_a_set_fly() -> None:
    assert "neither is a ticked list" in MANUALS_WIN
    assert "note of what was ticked" in SAFETY[SafetyLine.NOT_READY_TO_FLY].text
    assert "until" not in SAFETY[SafetyLine.NOT_READY_TO_FLY].text
    assert "no statement that the set is fit to fly" in PUT_BACK_NOTE


def test_a_line_of_a_newer_program_has_words_that_say_so() -> None:
    assert "no words for" in safety_words("hovercraft-skirt")


# No text reads as a release -----------------------------------------------------------------------------------------

ROOT = Path(__file__).parents[2]
RELEASES = (
    r"until [^.]{0,80}\b(confirmed|ticked|put back|as it was)\b",
    r"(?<!not )\bready to fly",
    r"(?<!no statement that the set is )(?<!not a statement that anything is )(?<!no statement that anything is )"
    r"\bfit to fly",
    r"\bdoes not fly\b",
    r"\b(may|can) (now )?(fly|be flown)\b|\bsafe to (fly|use)\b|\bairworthy\b|\bcleared\b|\bput back: confirmed\b",
)
"""What would read as leave to fly; "does not fly" because it says by its condition when it does."""


def said_in(path: Path) -> list[str]:
    """The texts a person can read in a file, each on one line."""
    text = path.read_text(encoding="utf-8")
    if path.suffix != ".py":
        return [re.sub(r"\s+", " ", re.sub(r"<[^>]*>", "", text))]
    tree = ast.parse(text)
    told = {
        id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)
    }
    found = [node for node in ast.walk(tree) if isinstance(node, ast.Constant) and id(node) not in told]
    return [re.sub(r"\s+", " ", node.value) for node in found if isinstance(node.value, str)]


def places() -> list[Path]:
    rooms = ("presentation", "ui", "cli", "report", "desk")
    code = [path for room in rooms for path in ROOT.glob(f"benchapp/{room}/**/*")]
    files = [*code, *ROOT.glob("resources/**/*"), ROOT / "README.md"]
    return [path for path in files if path.suffix in {".py", ".html", ".svg", ".md", ".j2", ".txt"}]


def test_no_text_reads_as_a_release() -> None:
    found = [
        (path.name, match.group())
        for path in places()
        for text in said_in(path)
        for pattern in RELEASES
        for match in re.finditer(pattern, text, re.IGNORECASE)
    ]
    assert found == []


@pytest.mark.parametrize(
    "text",
    [
        "Until all six are confirmed, the set does not fly.",
        "A set changed for a test is not ready to fly until it has been put back.",
        "After the test – put back: confirmed, line by line.",
        "All ticked: ready to fly.",
        "The set is fit to fly.",
    ],
)
def test_what_would_read_as_a_release_is_recognised(text: str) -> None:
    assert any(re.search(pattern, text, re.IGNORECASE) for pattern in RELEASES)
