"""What the emulator does otherwise than the chip: each work-around is needed, shown by what happens without it."""

import time

import numpy as np
import pytest

from benchapp.probe.messages import BoardFrame
from tests.emulator import build
from tests.emulator.conftest import NewProbe
from tests.emulator.emulated import ALL_WORKAROUNDS, MS, WORKAROUNDS, Board, without
from tests.emulator.test_levels import check_samples_at_their_times
from tests.emulator.truth import OUTPUT, PIN_OF, SWITCH, Probe, alternate, bench_load, check_complete, check_stamps


def told_in_time(probe: Probe) -> None:
    """The bench is told whole and in time."""
    probe.start()
    probe.board.plan(bench_load(np.random.default_rng(1), probe.board.cycle + 5 * MS, 2500))
    probe.run(2700)
    check_complete(probe)
    check_stamps(probe)


def test_a_write_of_one_flag_would_clear_the_others_and_lose_turns_of_the_timer(new_probe: NewProbe) -> None:
    told_in_time(new_probe())
    with pytest.raises(AssertionError):
        told_in_time(new_probe(workarounds=without("FLAGS_CLEAR_SINGLY")))


@pytest.mark.parametrize("missing", ["CONVERSIONS_TRIGGER", "SAMPLES_HOLD", "CONVERSIONS_END", "COUNTS_OF_1024"])
def test_the_converter_would_be_none(new_probe: NewProbe, missing: str) -> None:
    check_samples_at_their_times(new_probe(), (8,), 1000)
    with pytest.raises((AssertionError, ValueError)):
        check_samples_at_their_times(new_probe(workarounds=without(missing)), (8,), 1000)


def test_a_match_right_after_a_turn_would_be_passed_over(new_probe: NewProbe) -> None:
    def starts_without_loss(workarounds: int, most: int) -> int:
        probe = new_probe(workarounds=workarounds)
        for n in range(most):
            # Slots of 16,000 ticks meet every 128th phase of the timer in 0.52 s; which of them, the start says.
            probe.start(leads=0x0F00)
            probe.run(530 + n / 100)
            if probe.told.beats[-1].level_lost:
                return n
        return most

    found = starts_without_loss(without("MATCHES_AFTER_TURNS"), 400)
    assert found < 400
    assert starts_without_loss(ALL_WORKAROUNDS, found + 1) == found + 1


def test_a_flag_raised_before_its_interrupt_was_enabled_would_be_forgotten() -> None:
    def interrupts(workarounds: int) -> bool:
        with Board(build.small_program("flag_waits"), workarounds=workarounds) as board:
            board.plan([(MS, 2, 1)])
            board.run(3)
            return bool(board.log("driven").size)

    assert interrupts(ALL_WORKAROUNDS)
    assert not interrupts(without("FLAGS_WAIT"))


def test_interrupts_would_come_before_their_time(new_probe: NewProbe) -> None:
    def earliest(workarounds: int) -> int:
        probe = new_probe(workarounds=workarounds)
        probe.start(leads=1 << SWITCH, level_rate_hz=0)
        probe.board.plan(alternate(probe.board.cycle + np.arange(1, 60) * (3 * MS + 7), PIN_OF[SWITCH]))
        probe.run(300)
        return int(probe.lateness(SWITCH)[0].min())

    assert earliest(ALL_WORKAROUNDS) == 0
    assert earliest(without("INTERRUPTS_TAKE_TIME")) == -4


def distances(workarounds: int) -> np.ndarray:
    """The cycles from one byte to the next while the descriptor is sent."""
    with Board(build.firmware(), workarounds=workarounds) as board:
        board.run(60)
        return np.diff(board.log("sent")["cycle"].astype(np.int64))


def test_a_byte_would_take_eleven_bits() -> None:
    assert np.median(distances(ALL_WORKAROUNDS)) == 10 * 8 * 17
    assert np.median(distances(without("BYTES_OF_10_BITS"))) == 11 * 8 * 17


def test_the_line_would_run_dry_between_two_bytes() -> None:
    assert np.mean(distances(ALL_WORKAROUNDS) > 10 * 8 * 17 + 8) < 0.02
    assert np.mean(distances(without("LINE_BUFFERS")) > 10 * 8 * 17 + 8) > 0.9


def test_the_emulator_would_nap() -> None:
    def napped_s(workarounds: int) -> float:
        with Board(build.firmware(), workarounds=workarounds) as board:
            began, busy = time.monotonic(), time.process_time()
            board.run(40)
            return (time.monotonic() - began) - (time.process_time() - busy)

    # It naps 1 us, and with what the system adds 50, at each look at the line's state.
    assert napped_s(without("NO_NAPS")) > 0.02 + napped_s(ALL_WORKAROUNDS)


def test_the_emulator_would_look_at_what_is_due_after_each_instruction_to_no_avail() -> None:
    def looked(workarounds: int) -> tuple[int, bytes]:
        with Board(build.firmware(), workarounds=workarounds) as board:
            board.run(200)
            return board.looks, board.sent()

    looks, said = looked(ALL_WORKAROUNDS)
    more_looks, same = looked(without("LONG_RUNS"))
    assert more_looks > 5 * looks
    assert said == same


def test_every_board_would_have_the_same_start_id() -> None:
    def start_ids(workarounds: int) -> set[int]:
        ids = set()
        for seed in range(3):
            with Board(build.firmware(), seed=seed, workarounds=workarounds) as board:
                board.run(60)
                ids |= {message.board.start_id for message in board.messages() if isinstance(message, BoardFrame)}
        return ids

    assert len(start_ids(ALL_WORKAROUNDS)) == 3
    assert len(start_ids(without("RAM_OF_CHANCE"))) == 1


def test_edges_happen_between_instructions_not_when_they_are_planned(probe: Probe) -> None:
    probe.start(leads=1 << OUTPUT, level_rate_hz=0)
    planned = probe.board.cycle + np.arange(1, 60) * (3 * MS + 7)
    probe.board.plan(alternate(planned, PIN_OF[OUTPUT]))
    probe.run(300)
    told = probe.cycles(probe.told.of(OUTPUT))
    assert (told == probe.happened(OUTPUT)["cycle"].astype(np.int64)).all()
    assert 0 < (told - planned).max() <= 4


def test_every_work_around_is_shown_to_be_needed() -> None:
    source = build.HERE.joinpath("test_workarounds.py").read_text()
    assert [name for name in WORKAROUNDS if source.count(f'"{name}"') == 0] == []
