"""Runs over several switch-ons: the practice bench switches its own transmitter, a person a real bench's."""

import json
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import pytest

from benchapp.desk.loading import load
from benchapp.desk.recording import Recorded, RecordOrder, record
from benchapp.procedures.gate import OnBench, offered_lines
from benchapp.procedures.ground.progress import StopReason
from benchapp.records.errors import SafetyRefused
from benchapp.records.events import SWITCH_ON
from benchapp.records.run import Origin, RunSettings
from tests.desk.test_real_port import FarBoard
from tests.probe.practice_reading import TICK_MS
from tests.probe.pty_peer import PtyPeer, peer


def practised(tmp_path: Path, url: str, *, flips: int = 14, switch_ons: int = 4, **more) -> Recorded:
    order = RecordOrder(
        probe=url,
        test="switch-flip",
        out=tmp_path / "a.t2h",
        settings=RunSettings(flips=flips, switch_ons=switch_ons),
        confirmed=("practice",),
        truth=tmp_path / "a.json",
        force=True,
        **more,
    )
    return record(order, lambda status: None)


@pytest.mark.parametrize("radio", ["alder", "birch", "cedar"])
def test_the_practice_bench_spreads_its_flips_over_its_own_switch_ons_and_the_truth_agrees(tmp_path, radio):
    recorded = practised(tmp_path, f"practice://{radio}?seed=5")
    assert (recorded.trouble, recorded.run.stop_reason) == (None, StopReason.ENOUGH_FLIPS)
    truth = json.loads((tmp_path / "a.json").read_text())
    found = load(tmp_path / "a.t2h").findings.runs[0]
    assert found.result.switch_ons == 4
    assert found.result.excluded == ()
    assert Counter(trial.block for trial in found.result.trials) == {0: 4, 1: 4, 2: 3, 3: 3}
    assert len(truth["flips"]) == 14
    for trial, known in zip(found.result.trials, truth["flips"], strict=True):
        assert trial.block + 1 == known["switch_on"]
        # A stamp is the last whole tick; the session's clock is the probe's, which is right here.
        assert abs(trial.mid_ms - known["mid_ms"]) <= TICK_MS + 1e-6
    assert [entry["switch_on"] for entry in truth["long_run"]["switch_ons"]] == [1, 2, 3, 4]
    assert len({entry["offset"] for entry in truth["long_run"]["switch_ons"]}) == 4


def test_switching_off_and_on_is_no_missing_pulse_and_no_unsteady_frame(tmp_path):
    practised(tmp_path, "practice://alder?seed=6")  # its output falls silent while the transmitter is off
    loaded = load(tmp_path / "a.t2h")
    (run,) = loaded.runs
    assert [pause.reason for pause in run.pauses] == [SWITCH_ON] * 3
    frame = loaded.findings.runs[0].frame
    assert frame.missing_pulses == 0
    # Pulses begin up to 2 µs early or late, evenly, unless the URL says otherwise: 4 µs / √12 each, √2 for two.
    assert frame.period_sd_us < 2.5


def test_the_same_seed_gives_the_same_switch_ons_and_another_seed_or_radio_others(tmp_path):
    def offsets(seed: int, radio: str = "birch") -> list[float]:
        practised(tmp_path, f"practice://{radio}?seed={seed}", flips=4)
        truth = json.loads((tmp_path / "a.json").read_text())
        return [entry["offset"] for entry in truth["long_run"]["switch_ons"]]

    one = offsets(7)
    assert one == offsets(7)
    assert not set(one) & set(offsets(8))
    assert not set(one) & set(offsets(7, "cedar"))


def test_an_offset_the_url_names_is_the_first_one(tmp_path):
    practised(tmp_path, "practice://birch?seed=7&offset=0.25", flips=2, switch_ons=2)
    first, second = json.loads((tmp_path / "a.json").read_text())["long_run"]["switch_ons"]
    assert first["offset"] == 0.25
    assert second["offset"] != 0.25


def test_flips_the_probe_makes_itself_wait_for_the_transmitter(tmp_path):
    recorded = practised(tmp_path, "practice://birch?seed=9&flips=none", flips=6, switch_ons=3, clips={"flip": "drive"})
    assert recorded.trouble is None
    latency = load(tmp_path / "a.t2h").findings.runs[0].result
    assert [trial.block for trial in latency.trials] == [0, 0, 1, 1, 2, 2]
    assert latency.excluded == ()


# A real bench ------------------------------------------------------------------------------------------------------


@pytest.fixture
def port() -> Iterator[PtyPeer]:
    far = FarBoard("practice://alder?seed=41&dwell_s=0.8")
    with peer(far.hear, far.play) as played:
        yield played


def real(port: PtyPeer, out: Path) -> RecordOrder:
    return RecordOrder(
        probe=port.port,
        test="switch-flip",
        out=out,
        settings=RunSettings(flips=2, switch_ons=2),
        on_bench=OnBench.MOTOR,
        confirmed=tuple(line.value for line in offered_lines(Origin.PROBE)),
    )


def test_on_a_real_bench_a_person_is_asked_once_for_each_further_switch_on(port, tmp_path):
    asked = []

    def switched_on(run, still_wanted):
        asked.append((run.blocks, run.switch_ons, run.flips, still_wanted()))
        return real(port, tmp_path / "a.t2h").confirmed

    recorded = record(real(port, tmp_path / "a.t2h"), lambda status: None, switched_on)
    assert recorded.trouble is None
    assert asked == [(1, 2, 1, True)]
    assert recorded.run.flips == 2
    (run,) = load(tmp_path / "a.t2h").runs
    assert [pause.reason for pause in run.pauses] == [SWITCH_ON]


def test_a_switch_on_that_is_not_confirmed_stops_the_run_and_keeps_it(port, tmp_path):
    recorded = record(real(port, tmp_path / "a.t2h"), lambda status: None, lambda run, still_wanted: None)
    assert recorded.trouble is None
    assert (recorded.run.stop_reason, recorded.run.flips) == (StopReason.BY_HAND, 1)
    assert load(tmp_path / "a.t2h").runs[0].settings.switch_ons == 2


def test_a_line_not_confirmed_again_after_the_switch_on_ends_the_run_and_is_named(port, tmp_path):
    recorded = record(real(port, tmp_path / "a.t2h"), lambda status: None, lambda run, still_wanted: ("power-order",))
    assert isinstance(recorded.trouble, SafetyRefused)
    assert "lithium" in recorded.trouble.message
    assert recorded.run.flips == 1
