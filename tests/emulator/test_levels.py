"""Level leads are sampled at exact ticks, and their samples are told with those ticks."""

import numpy as np
import pytest

from benchapp.probe.wire import Commands
from tests.emulator.emulated import MS
from tests.emulator.truth import LEVELS, Probe, bench_load

FIRST = 8


def check_samples_at_their_times(probe: Probe, leads: tuple[int, ...], rate: int) -> None:
    """Every sample told stands at the cycle at which the converter held it, with that voltage's count."""
    probe.start(leads=sum(1 << lead for lead in leads), level_rate_hz=rate)
    start = probe.board.cycle
    for n in range(4):
        probe.board.level(n, [(start + k * (95 + 18 * n) * MS, (0.2 + n / 10, 4.5)[k % 2]) for k in range(20)])
    probe.run(1500)
    held = probe.board.log("held")
    truth = {(int(row["channel"]), int(row["cycle"])): int(row["counts"]) for row in held}
    for lead in leads:
        told = [samples for samples in probe.told.levels if samples.lead == lead]
        cycles = np.concatenate([s.first_tick + np.arange(s.counts.size) * s.step for s in told]) + probe.began
        counts = np.concatenate([s.counts for s in told])
        assert cycles.size >= 1.4 * rate - 32
        assert (np.diff(cycles) == told[0].step).all()
        assert cycles[0] < start + 3 * MS + told[0].step
        assert [truth.get((lead - FIRST, int(cycle))) for cycle in cycles] == counts.tolist()
    assert probe.told.beats[-1].level_lost == 0


@pytest.mark.parametrize(
    ("leads", "rate"), [(LEVELS, 250), ((8,), 1000), ((8, 10), 500), ((11,), 250), ((9, 10, 11), 100)]
)
def test_samples_stand_at_their_times(probe: Probe, leads: tuple[int, ...], rate: int) -> None:
    probe.board.plan(bench_load(np.random.default_rng(1), probe.board.cycle + 10 * MS, 1500))
    check_samples_at_their_times(probe, leads, rate)


def test_full_scale_is_1023_of_1024_counts(probe: Probe) -> None:
    for n, volts in enumerate((0.0, 2.5, 4.9999, 5.0)):
        probe.board.level(n, [(0, volts)])
    probe.start()
    probe.run(300)
    assert probe.told.beats[-1].last_levels == ((8, 0), (9, 512), (10, 1023), (11, 1023))


def test_a_rate_beyond_the_converter_is_refused(probe: Probe) -> None:
    assert probe.start(level_rate_hz=1001).status == 2


def test_four_leads_at_once_share_what_the_converter_can(probe: Probe) -> None:
    probe.start(level_rate_hz=1000)
    probe.run(300)
    assert {samples.step for samples in probe.told.levels} == {4 * MS}


def test_a_muted_level_lead_is_silent_and_comes_back(probe: Probe) -> None:
    probe.start()
    probe.ask(Commands.MUTE, lead=9, on=1)
    probe.run(300)
    assert probe.told.beats[-1].muted == 1 << 9
    muted = len([s for s in probe.told.levels if s.lead == 9])
    probe.run(300)
    assert len([s for s in probe.told.levels if s.lead == 9]) == muted
    probe.ask(Commands.MUTE, lead=9, on=0)
    probe.run(300)
    assert len([s for s in probe.told.levels if s.lead == 9]) > muted
    assert probe.told.beats[-1].muted == 0
