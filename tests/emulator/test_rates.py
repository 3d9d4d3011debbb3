"""How much the probe can tell at each rate of the line, and that it owns up to what it cannot."""

import numpy as np
import pytest

from benchapp.probe.wire import Commands
from tests.emulator.conftest import NewProbe
from tests.emulator.emulated import MS
from tests.emulator.truth import (
    LEVELS,
    MODULE,
    OUTPUT,
    PIN_OF,
    SWITCH,
    Probe,
    alternate,
    check_complete,
    check_stamps,
    even_load,
)

# Edges a second over all seven leads, with the four level leads at 250 samples a second each.
LOSS_FREE = {115_200: 1_540, 250_000: 3_800, 500_000: 7_500, 1_000_000: 10_300}


@pytest.mark.parametrize(("baud", "rate"), LOSS_FREE.items())
def test_nothing_is_lost_at_the_promised_rates(probe: Probe, baud: int, rate: int) -> None:
    if baud != 115_200:
        probe.move_to(baud)
    probe.start()
    probe.board.plan(even_load(np.random.default_rng(1), probe.board.cycle + 5 * MS, 1500, rate))
    probe.run(1700)
    check_complete(probe)
    assert sum(samples.counts.size for samples in probe.told.levels) > 1_500
    check_stamps(probe)


@pytest.mark.parametrize("rate", [4_000, 9_000, 12_000])
def test_what_overload_costs_is_counted_to_the_edge(probe: Probe, rate: int) -> None:
    probe.start()
    start = probe.board.cycle
    # Leads with a handler each: in an overload those that share one cannot say which of them lost.
    load = even_load(np.random.default_rng(2), start + 5 * MS, 800, rate * 7 / 3)
    load = load[np.isin(load["pin"], [8, 2, 3])]
    probe.board.plan(load)
    probe.run(1200)
    probe.ask(Commands.STOP)
    probe.run(300)
    offered = sum(probe.happened(lead, start).size for lead in (OUTPUT, SWITCH, MODULE))
    beat = probe.told.beats[-1]
    assert offered > 0.79 * rate
    assert beat.lost > 0
    assert beat.muted == 0
    assert probe.told.records.size + beat.lost + beat.folded == offered
    assert probe.told.got == beat.records_sent
    # Each loss shows at the next edge of its lead, and no level is told twice in a row without one.
    for lead in (OUTPUT, SWITCH, MODULE):
        told = probe.told.of(lead)
        assert told["lost"].any()
        again = told["level"][1:] == told["level"][:-1]
        assert told["lost"][1:][again].all()


def test_overload_starves_neither_heartbeats_nor_level_samples(probe: Probe) -> None:
    check_overload_is_shared(probe)


def check_overload_is_shared(probe: Probe) -> None:
    """Heartbeats and level samples come on time, however many edges wait."""
    probe.start()
    start = probe.board.cycle
    probe.board.plan(even_load(np.random.default_rng(3), start + 5 * MS, 1000, 9_000))
    probe.run(1000)
    beats = [beat for beat in probe.told.beats if beat.tick > start - probe.began]
    assert len(beats) >= 9
    assert beats[-1].lost > 0
    assert beats[-1].level_lost == 0
    counts = {lead: sum(s.counts.size for s in probe.told.levels if s.lead == lead) for lead in LEVELS}
    assert all(count >= 200 for count in counts.values()), counts


def test_a_lead_that_floods_is_muted_said_so_and_the_others_go_on(probe: Probe) -> None:
    probe.start()
    start = probe.board.cycle
    flood = alternate(start + 10 * MS + np.arange(6_000) * 1_000, PIN_OF[SWITCH])
    calm = alternate(start + 10 * MS + np.arange(300) * 32_000, PIN_OF[OUTPUT])
    probe.board.plan(np.concatenate([flood, calm]))
    probe.run(750)
    assert probe.told.beats[-1].muted == 1 << SWITCH
    told = probe.told.of(OUTPUT)
    # The flood holds for less than 75 ms; after that every edge of the other lead is told.
    later = probe.cycles(told) >= start + 150 * MS
    happened = probe.happened(OUTPUT, start + 150 * MS)["cycle"]
    assert (probe.cycles(told)[later] == happened.astype(np.int64)).all()
    assert probe.told.of(SWITCH)["tick"].max() < start - probe.began + 100 * MS
    probe.ask(Commands.MUTE, lead=SWITCH, on=0)
    again = probe.board.cycle
    probe.board.plan(alternate(again + np.arange(1, 21) * 5 * MS, PIN_OF[SWITCH]))
    probe.run(250)
    assert probe.told.beats[-1].muted == 0
    assert (probe.told.of(SWITCH)["tick"] > again - probe.began).sum() == 20


@pytest.mark.parametrize("step", [40, 55, 70, 100])
def test_a_storm_on_a_lead_does_not_hang_the_board(new_probe: NewProbe, step: int) -> None:
    for lead in (OUTPUT, SWITCH, MODULE, 3):
        probe = new_probe()
        probe.start()
        storm = alternate(probe.board.cycle + 10 * MS + np.arange(200 * MS // step) * step, PIN_OF[lead])
        probe.board.plan(storm)
        probe.run(500)
        muted = probe.told.beats[-1].muted
        assert muted & 1 << lead, f"lead {lead}: {muted:b}"
        assert probe.ask(Commands.PING).status == 0
        assert len(probe.told.beats) >= 5
