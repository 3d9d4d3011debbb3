"""The instrument, its link and the probe's program together, on an emulated board: findings meet what is known."""

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from tests.emulator import build
from tests.emulator.bench import ProbeBench, latencies_ms
from tests.emulator.emulated import HZ, STICK

FRAME_MS, DELAY_MS = 11.0, 8.0
SHORT_MS, LONG_MS = 1.1, 1.9
# The switch's lead is up to 13 ticks of 62.5 ns late by its descriptor, its flagged stamps up to 76; documents round to
# 1 ns.
LATE_MS, FLAGGED_LATE_MS = 13 / HZ * 1000 + 1e-6, 76 / HZ * 1000 + 1e-6


@pytest.fixture(autouse=True)
def _tools() -> None:
    build.need_tools()


def record(bench: ProbeBench, session: Path, *words: object) -> None:
    """Record from the board's port on the command line."""
    start = [sys.executable, "-m", "benchapp", "record", "--probe", bench.port, "--out", session, "--yes-safe"]
    done = subprocess.run(
        [str(word) for word in (*start, *words)], capture_output=True, text=True, timeout=120, check=False
    )
    assert done.returncode == 0, done.stdout + done.stderr


def findings(session: Path) -> dict[str, Any]:
    """Reduce the session's only run on the command line."""
    words = [sys.executable, "-m", "benchapp", "reduce", "--json", str(session)]
    done = subprocess.run(words, capture_output=True, text=True, timeout=120, check=True)
    (run,) = json.loads(done.stdout)["runs"]
    assert run["outcome"] == "complete"
    return dict(run)


def truth_of_trials(trials: list[dict[str, Any]], moves: NDArray[np.void]) -> int:
    """Return which move of the control the first trial is: they follow one another as the moves do."""
    at_s = np.array([trial["at_s"] for trial in trials])
    times_s = moves["cycle"] / HZ
    apart = [
        np.abs(np.diff(times_s[n : n + at_s.size]) - np.diff(at_s)).max() for n in range(times_s.size - at_s.size + 1)
    ]
    # The two clocks are the same one.
    assert min(apart) < 20e-6
    return int(np.argmin(apart))


def check_flips(run: dict[str, Any], moves: NDArray[np.void], answers: NDArray[np.void], *, late_ms: float) -> None:
    """Every flip's latency is the true one, and the figure meets the true mean within what it says."""
    trials = run["latency"]["trials"]
    first = truth_of_trials(trials, moves)
    true_ms = latencies_ms(moves, answers)[first : first + len(trials)]
    late = true_ms - np.array([trial["mid_lead_ms"] for trial in trials])
    assert np.abs(late).max() <= late_ms
    # Flips fall evenly over the frame, and half of the answers are the long pulse: from flip to the answer's end.
    mean_ms = DELAY_MS + FRAME_MS / 2 + (SHORT_MS + LONG_MS) / 2
    low_ms, high_ms = run["latency"]["headline"]["ci95_ms"]
    assert low_ms <= mean_ms <= high_ms
    assert high_ms - low_ms < FRAME_MS / 4
    assert run["frame"]["period_ms"] == pytest.approx(FRAME_MS, abs=1e-4)
    assert run["frame"]["short_us"] == pytest.approx(SHORT_MS * 1000, abs=0.4)
    assert run["frame"]["long_us"] == pytest.approx(LONG_MS * 1000, abs=0.4)
    assert abs(run["clock"]["error_ppm"]) <= 3 * run["clock"]["standard_ppm"]


def test_a_hand_on_the_switch_is_measured_as_it_was(tmp_path: Path) -> None:
    session = tmp_path / "hand.t2h"
    with ProbeBench(
        frame_us=FRAME_MS * 1000,
        delay_us=DELAY_MS * 1000,
        pulse_us=(SHORT_MS * 1000, LONG_MS * 1000),
        flips_ms=(6000, 160, 3000),
    ) as bench:
        record(bench, session, "--test", "switch-flip", "--flips", 40)
        moves, answers = bench.truth(tmp_path)
    run = findings(session)
    assert run["latency"]["flips"] == 40
    # The hand flips on by the board's clock: on a busy computer the run begins in the midst of it.
    left_out = [(flip["flip"], flip["code"]) for flip in run["latency"]["excluded"]]
    assert left_out in ([], [(1, "no-level-before")])
    assert run["latency"]["answered"] == 40 - len(left_out)
    check_flips(run, moves, answers, late_ms=LATE_MS)


def test_the_probe_flips_the_switch_itself_at_stepped_phases(tmp_path: Path) -> None:
    session = tmp_path / "driven.t2h"
    with ProbeBench(
        frame_us=FRAME_MS * 1000,
        delay_us=DELAY_MS * 1000,
        pulse_us=(SHORT_MS * 1000, LONG_MS * 1000),
        wire_us=12,
    ) as bench:
        record(bench, session, "--test", "switch-flip", "--flips", 24, "--lead", "D9=drive")
        moves, answers = bench.truth(tmp_path)
    run = findings(session)
    assert (run["latency"]["answered"], run["latency"]["flips"]) == (24, 24)
    assert "phase-stepped" in run["flags"]
    check_flips(run, moves, answers, late_ms=FLAGGED_LATE_MS)


def test_without_a_tap_on_the_contact_the_driven_lead_tells_its_own_flips(tmp_path: Path) -> None:
    session = tmp_path / "alone.t2h"
    with ProbeBench(
        frame_us=FRAME_MS * 1000, delay_us=DELAY_MS * 1000, pulse_us=(SHORT_MS * 1000, LONG_MS * 1000), control=9
    ) as bench:
        record(bench, session, "--test", "switch-flip", "--flips", 24, "--lead", "D9=switch")
        moves, answers = bench.truth(tmp_path)
    run = findings(session)
    assert (run["latency"]["answered"], run["latency"]["flips"]) == (24, 24)
    assert "driven opening" in {line["source"] for line in run["uncertainty"]}
    check_flips(run, moves, answers, late_ms=LATE_MS)


def test_a_swept_stick_shows_its_delay_and_its_line(tmp_path: Path) -> None:
    session = tmp_path / "sweep.t2h"
    path, at_ms, volts = [(0.0, 0.5), (2500.0, 0.5)], 2500.0, 0.5
    for stroke_ms in (1600, 1600, 2400, 2400, 2000, 2000, 1700, 1700):
        at_ms, volts = at_ms + stroke_ms, 5.0 - volts
        path += [(at_ms, volts), (at_ms + 900, volts)]
        at_ms += 900
    with ProbeBench(
        frame_us=FRAME_MS * 1000, delay_us=DELAY_MS * 1000, pulse_us=(1000, 2000), control=STICK, levels={0: path}
    ) as bench:
        record(bench, session, "--test", "stick-sweep", "--cycles", 2)
    line = findings(session)["linearity"]
    # A pulse tells the stick as it stood a delay before the pulse began: 1,000 us and 200 us a volt.
    assert line["delay_ms"] == pytest.approx(DELAY_MS, abs=2 * line["delay_u_ms"])
    assert line["delay_u_ms"] < 0.3
    slope, u_slope = line["least_squares"]["slope_us_per_v"], line["least_squares"]["slope_u"]
    # The converter rounds down: half a count on average, and its step is 0.1 % of the range.
    assert slope == pytest.approx(200.0, abs=2 * u_slope + 0.2)
    assert line["independent_pct"] <= line["expanded_uncertainty_pct"]
    assert abs(line["fitted_hysteresis_pct"]) <= line["expanded_uncertainty_pct"]
