"""What was tested, in six lines: set, output, pick-up, how the radio was readied, bench, what is left out."""

from collections.abc import Iterable, Mapping

from benchapp.presentation.ground.bench_fields import NOT_NOTED, READY
from benchapp.presentation.ground.cleaning import clean
from benchapp.presentation.ground.numbers import exists, plainly
from benchapp.presentation.ground.page import Row
from benchapp.presentation.ground.wording import PICK_UPS
from benchapp.presentation.shown import shown_test
from benchapp.records.findings import RunFindings
from benchapp.records.named_tests import times_flips
from benchapp.records.run import Origin, SessionFacts

_FIELD, _LINE = 60, 150
_READY_SHORT: Mapping[str, str] = {
    "ready_memory": "memory for testing",
    "ready_switch": "one switch, one channel",
    "ready_not_flying": "no flying switch",
    "ready_ends": "throws 100 %, trims 0",
    "ready_plain": "no expo, no mixes",
    "ready_warm": "warmed up",
}
_SET: Mapping[str, str] = {
    "transmitter": "{}", "module": "module: {}", "receiver": "receiver: {}", "channel": "channel {}",
}  # fmt: skip
_BENCH: Mapping[str, str] = {
    "servo": "servo: {}", "in_chain": "in the chain: {}", "volts": "{} V", "distance": "distance {}",
    "other_sets": "other sets: {}", "temperature": "{}",
}  # fmt: skip
_ORIGINS: Mapping[Origin, str] = {
    Origin.PROBE: "recorded with a probe",
    Origin.PRACTICE: "the practice bench, simulated",
    Origin.CAPTURE: "a capture of another instrument",
}


def in_short(facts: SessionFacts, run: RunFindings | None) -> tuple[Row, ...]:
    """Return the six lines; what nobody noted is one word in each, and what a test does not have is left away."""
    rows = [
        Row(label="Set", value=_line(_noted(facts.bench, _SET))),
        Row(label="Output", value=_line(_output(run))),
        Row(label="Radio", value=_line(_readied(facts.bench))),
        Row(label="Bench", value=_line([_ORIGINS[facts.origin], *_clock(run), *_noted(facts.bench, _BENCH)])),
    ]
    if run is None or times_flips(run.test):
        rows.insert(2, Row(label="Pick-up", value=PICK_UPS[facts.pick_up]))
    left_out = "" if run is None else shown_test(run.test).left_out(run.result)
    if left_out:
        rows.append(Row(label="Left out", value=left_out))
    return tuple(rows)


def _line(parts: Iterable[str]) -> str:
    return clean("; ".join(part for part in parts if part), limit=_LINE) or NOT_NOTED


def _noted(bench: Mapping[str, str], words: Mapping[str, str]) -> list[str]:
    found = []
    for key, pattern in words.items():
        text = clean(bench.get(key, ""), limit=_FIELD)
        if text:
            found.append(text if key == "volts" and not text[-1:].isdigit() else pattern.format(text))
    return found


def _output(run: RunFindings | None) -> Iterable[str]:
    if run is None or run.frame is None:
        return
    frame = run.frame
    if exists(frame.period_ms):
        yield f"a servo pulse every {plainly(frame.period_ms, 4, 'ms')}"
    if exists(frame.short_us) and exists(frame.long_us):
        yield f"{plainly(frame.short_us / 1e3, 3, 'ms')} and {plainly(frame.long_us / 1e3, 3, 'ms')} long"


def _readied(bench: Mapping[str, str]) -> Iterable[str]:
    answers = {key: clean(bench.get(key, "")).lower() for key in READY}
    checked = [words for key, words in _READY_SHORT.items() if answers[key] == "checked"]
    impossible = [words for key, words in _READY_SHORT.items() if answers[key] == "not possible"]
    if checked:
        yield f"readied: {', '.join(checked)}"
    if impossible:
        yield f"not possible: {', '.join(impossible)}"


def _clock(run: RunFindings | None) -> Iterable[str]:
    if run is not None and run.clock is not None and exists(run.clock.standard_ppm):
        yield f"clock to ± {plainly(2.0 * run.clock.standard_ppm, 2, 'ppm')}"
