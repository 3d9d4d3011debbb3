"""The deliberate faults are what they say, and leave alone what nothing is computed from."""

import ast

from tests.campaigns.faults import faults_of, with_fault

SOURCE = '''
"""Words about the file, 1 < 2."""
from dataclasses import dataclass

@dataclass(frozen=True)
class Thing:
    count: int | None = 3

def close(a: float, b: float, seen: list[int]) -> bool:
    """Words, 4 + 5."""
    if not seen and a <= b + 0.5:
        raise ValueError(f"too close: {a + b}")
    seen.append(1)
    return a == -b
'''
EXPECTED = {
    "3 -> 4",
    "not seen and a <= b + 0.5 -> not seen or a <= b + 0.5",
    "not seen -> seen",
    "a <= b + 0.5 -> a > b + 0.5",
    "a <= b + 0.5 -> a < b + 0.5",
    "b + 0.5 -> b - 0.5",
    "0.5 -> 0.625",
    "raise ValueError(f'too close: {a + b}') -> pass",
    "seen.append(1) -> pass",
    "1 -> 2",
    "return a == -b -> return not a == -b",
    "a == -b -> a != -b",
    "-b -> b",
}


def test_every_fault_is_made_alone_and_nothing_is_made_of_words_and_annotations():
    made = set()
    whole = ast.unparse(ast.parse(SOURCE)).splitlines()
    for fault in faults_of(SOURCE):
        changed, before, after = with_fault(SOURCE, fault)
        compile(changed, "changed", "exec")
        lines = changed.splitlines()
        assert sum(one != other for one, other in zip(whole, lines, strict=True)) == 1, fault
        if fault.kind != "condition turned":
            made.add(f"{before} -> {after}")
    assert made == EXPECTED
    assert sum(fault.kind == "condition turned" for fault in faults_of(SOURCE)) == 1


def test_the_same_source_always_has_the_same_faults():
    assert faults_of(SOURCE) == faults_of(SOURCE)
