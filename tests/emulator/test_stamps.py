"""Edges are told when they happened: exactly on the capture lead, within bounds or flagged on the others."""

import numpy as np
import pytest

from benchapp.probe.wire import Commands
from tests.emulator.build import firmware_symbols
from tests.emulator.conftest import NewProbe
from tests.emulator.emulated import EDGE, MS
from tests.emulator.truth import (
    DRIVE,
    EDGE_LEADS,
    LAMP,
    OUTPUT,
    PIN_OF,
    SERVO,
    SWITCH,
    Probe,
    alternate,
    bench_load,
    check_complete,
    check_stamps,
    promised,
)

TURN = 1 << 16
SETTLE = 10 * MS


def test_the_bench_is_told_whole_and_in_time(probe: Probe) -> None:
    probe.start()
    probe.board.plan(bench_load(np.random.default_rng(1), probe.board.cycle + SETTLE, 4000))
    probe.run(4200)
    check_complete(probe)
    check_stamps(probe)
    unflagged = np.concatenate([~probe.lateness(lead)[1] for lead in EDGE_LEADS])
    assert unflagged.mean() > 0.98


def test_twice_the_bench_is_told_whole_at_500_000(probe: Probe) -> None:
    probe.move_to(500_000)
    probe.start()
    probe.board.plan(bench_load(np.random.default_rng(2), probe.board.cycle + SETTLE, 2000, scale=2))
    probe.run(2200)
    check_complete(probe)
    check_stamps(probe)


@pytest.mark.parametrize("baud", [500_000, 1_000_000])
def test_neither_what_it_drives_nor_its_host_makes_the_probe_late(probe: Probe, baud: int) -> None:
    probe.move_to(baud)
    probe.start()
    probe.ask(Commands.SERVO, lead=SERVO, pulse_ns=1_520_000, period_ns=7_300_000)
    probe.board.plan(bench_load(np.random.default_rng(6), probe.board.cycle + SETTLE, 2500))
    for n in range(200):
        probe.ask(Commands.DRIVE, lead=DRIVE, level=(n + 1) & 1)
        probe.run(10 + n / 50)
    check_complete(probe)
    check_stamps(probe)


def test_edges_are_in_time_wherever_the_timer_turns_over(probe: Probe) -> None:
    probe.start(level_rate_hz=0)
    first = probe.board.turned + 3 * TURN
    # A turn's own interrupt takes 40 cycles: every phase from well before it to well after.
    offsets = np.arange(-90, 150)
    for n, lead in enumerate(EDGE_LEADS[:4]):
        shuffled = np.roll(offsets, 53 * n)
        cycles = first + np.arange(offsets.size) * TURN + shuffled + 400 * n
        probe.board.plan(alternate(cycles, PIN_OF[lead]))
    probe.run((offsets.size + 10) * TURN / MS)
    check_complete(probe)
    check_stamps(probe)


@pytest.mark.parametrize("offset", [0, 400, 800, 1200])
def test_no_lead_is_late_by_a_turn_when_it_comes_with_the_turn(probe: Probe, offset: int) -> None:
    lead = EDGE_LEADS[offset // 400]
    probe.start(level_rate_hz=0)
    first = probe.board.turned + 3 * TURN
    offsets = np.arange(-60, 100)
    probe.board.plan(alternate(first + np.arange(offsets.size) * TURN + offsets, PIN_OF[lead]))
    probe.run((offsets.size + 10) * TURN / MS)
    check_complete(probe)
    check_stamps(probe)


@pytest.mark.parametrize("ahead", [1 << 24, 1 << 32, 1 << 40])
def test_ticks_go_on_over_every_carry(probe: Probe, ahead: int) -> None:
    newest = firmware_symbols()["clock_newest"] - 0x800000
    # As if the board had run for long: its count of turns stands a second before the carry.
    turns = (ahead - 16_000_000) >> 24
    high = turns.to_bytes(5, "little")
    for n, byte in enumerate(high):
        probe.board.poke(newest + 3 + n, byte)
    before = probe.start().tick
    assert before >> 24 == turns
    start = probe.board.cycle
    rng = np.random.default_rng(7)
    cycles = start + SETTLE + np.sort(rng.choice(40_000_000 // 5_000, 1000, replace=False)) * 5_000
    probe.board.plan(alternate(cycles, PIN_OF[OUTPUT]))
    probe.board.plan(alternate(cycles + 2_500, PIN_OF[SWITCH]))
    probe.run(2700)
    check_complete(probe)
    # The jump puts the next heartbeat off by up to a second.
    beats = np.array([beat.tick for beat in probe.told.beats if beat.tick > before])
    # A heartbeat waits for the frames before it, up to 6 ms at 115,200.
    assert (np.abs(np.diff(beats) - 1_600_000) < 100_000).all()
    assert beats[-1] > ahead > before
    for lead, bias in ((OUTPUT, 0), (SWITCH, 8)):
        happened = probe.happened(lead, start)["cycle"].astype(np.int64) - probe.began + (turns << 24)
        late = (probe.told.of(lead)["tick"] - bias - happened) & 0xFFFF_FFFF
        assert late.max() <= promised(probe, lead)[0]


def test_pulses_of_every_width_are_told_to_the_tick(probe: Probe) -> None:
    probe.move_to(500_000)
    probe.start(level_rate_hz=0)
    start = probe.board.cycle + SETTLE
    # 15 us, the shortest pulse that the descriptor promises, to 2.5 ms.
    widths = np.concatenate([np.arange(240, 1240), np.linspace(1240, 40_000, 400).astype(int)])
    begins = start + np.cumsum(np.full(widths.size, 3 * MS)) + np.arange(widths.size)
    probe.board.plan(alternate(np.concatenate([begins, begins + widths]), PIN_OF[OUTPUT]))
    probe.run(3 * widths.size + 200)
    check_complete(probe)
    check_stamps(probe, [OUTPUT])
    told = probe.cycles(probe.told.of(OUTPUT))
    happened = probe.happened(OUTPUT, start)["cycle"].astype(np.int64)
    assert (np.diff(told)[::2] == np.diff(happened)[::2]).all()


def test_shorter_pulses_are_folded_or_told_never_made_up(probe: Probe) -> None:
    probe.move_to(500_000)
    probe.start(level_rate_hz=0)
    start = probe.board.cycle + SETTLE
    # From 1 us. In less, both edges can come while a handler begins: they are folded, and may be counted twice.
    widths = np.tile(np.arange(16, 240), 2)
    for lead in (OUTPUT, SWITCH):
        begins = start + np.arange(1, widths.size + 1) * 3 * MS + 20_000 * lead
        probe.board.plan(alternate(np.concatenate([begins, begins + widths]), PIN_OF[lead]))
    probe.run(3 * widths.size + 200)
    beat = probe.told.beats[-1]
    for lead in (OUTPUT, SWITCH):
        told = probe.cycles(probe.told.of(lead))
        happened = probe.happened(lead, start)["cycle"].astype(np.int64)
        nearest = np.abs(told[:, None] - happened[None, :]).min(axis=1)
        assert nearest.max() <= promised(probe, lead)[1]
    offered = probe.happened(OUTPUT, start).size + probe.happened(SWITCH, start).size
    assert probe.told.records.size + beat.folded + beat.lost == offered
    assert beat.folded


def test_leads_that_move_together_are_told_each_and_flagged(probe: Probe) -> None:
    probe.start(level_rate_hz=0)
    start = probe.board.cycle + SETTLE
    edges = []
    for n in range(200):
        for order, lead in enumerate(np.roll(EDGE_LEADS[:4], n)):
            edges.append((start + n * 5 * MS + order * (n % 40), PIN_OF[int(lead)], (n + 1) & 1))
    probe.board.plan(np.array(edges, EDGE))
    probe.run(200 * 5 + 100)
    check_complete(probe)
    # Three other handlers may run first.
    check_stamps(probe)


def test_the_worst_lateness_told_is_nearly_reached_where_leads_move_together_at_a_turn_of_the_timer(
    probe: Probe,
) -> None:
    probe.move_to(500_000)
    probe.start(level_rate_hz=0)
    probe.ask(Commands.SERVO, lead=SERVO, pulse_ns=1_500_000, period_ns=5_000_000)
    rng, first, turns = np.random.default_rng(8), probe.board.turned + 4 * TURN, 400
    together = np.repeat(first + np.arange(turns) * TURN + rng.integers(-250, 60, turns), 4)
    edges = np.empty(4 * turns, EDGE)
    edges["cycle"] = together + rng.integers(0, 20, together.size)
    edges["pin"] = np.tile([PIN_OF[lead] for lead in EDGE_LEADS[:4]], turns)
    edges["level"] = np.repeat(np.arange(1, turns + 1) & 1, 4)
    probe.board.plan(edges)
    # Pings, or the servo lead goes to rest.
    for _ in range(3):
        probe.run(turns * TURN / MS / 3 + 30)
        probe.ask(Commands.PING)
    check_complete(probe)
    check_stamps(probe)
    for lead in EDGE_LEADS[1:4]:
        late, _ = probe.lateness(lead)
        # The figure in the descriptor is the worst that happens, not a comfortable multiple of it.
        assert late.max() > 0.85 * promised(probe, lead)[1], (lead, late.max())


def test_frames_carry_edges_in_order_of_time(probe: Probe) -> None:
    probe.start()
    probe.board.plan(bench_load(np.random.default_rng(3), probe.board.cycle + SETTLE, 1500))
    probe.run(1700)
    captured = probe.told.records["lead"] == OUTPUT
    ticks = probe.told.records["tick"].astype(np.int64) - np.where(captured, 0, 8)
    assert (np.diff(ticks) >= -max(promised(probe, lead)[1] for lead in EDGE_LEADS)).all()


def test_the_board_stamps_what_it_drives(probe: Probe) -> None:
    probe.start()
    probe.ask(Commands.SERVO, lead=SERVO, pulse_ns=1_500_000, period_ns=20_000_000)
    probe.ask(Commands.LAMP, lead=LAMP, duration_ms=120)
    for n in range(12):
        tick = (probe.board.cycle - probe.began + 40 * MS + 777 * n) & 0xFFFFFFFF
        probe.ask(Commands.DRIVE_AT, lead=DRIVE, level=(n + 1) & 1, tick=tick)
        probe.run(60)
    probe.ask(Commands.SERVO, lead=SERVO, pulse_ns=0, period_ns=0)
    probe.run(100)
    for lead, least in ((DRIVE, 12), (SERVO, 60), (LAMP, 2)):
        late, _ = probe.lateness(lead)
        assert late.size >= least
        assert (late >= 0).all()
        assert (late <= 4).all(), (lead, late.max())


def test_the_same_happenings_give_the_same_bytes(new_probe: NewProbe) -> None:
    said = []
    for _ in range(2):
        probe = new_probe(seed=4)
        probe.board.ask(Commands.START, leads=0xFFFF, level_rate_hz=250)
        probe.board.plan(bench_load(np.random.default_rng(4), BOOTED_AND_STARTED, 500))
        probe.board.run_to(BOOTED_AND_STARTED + 600 * MS)
        said.append(probe.board.sent())
    assert said[0] == said[1]
    assert len(said[0]) > 3000


BOOTED_AND_STARTED = 150 * MS
