"""What the practice bench knows, written apart from the session; only opening and this room may import it."""

import itertools
import json
import os
import secrets
from collections.abc import Callable, Iterable, Sequence
from contextlib import suppress
from pathlib import Path
from typing import Any

from benchapp.probe.practice.answers import Flip
from benchapp.probe.practice.hand import Move
from benchapp.probe.practice.law import SwitchOn
from benchapp.probe.practice.long_run import long_run
from benchapp.probe.practice.options import BenchOptions
from benchapp.probe.practice.sweep_truth import sweep_entry
from benchapp.records.errors import DiskTrouble

FORMAT = "benchapp practice truth 1"
_POINTS = ("first", "mid", "near_final")


def truth_document(
    options: BenchOptions,
    flips: Iterable[Flip],
    switch_ons: Sequence[SwitchOn],
    session_ns: Callable[[int], int],
    *,
    moves: Sequence[Move] = (),
    stick_age_ms: float | None = None,
) -> dict[str, Any]:
    """Return everything the bench knows of a recording; of a stick only where there is one.

    session_ns turns the bench's own time [ns] into the session's clock. Latencies are in true time.
    """
    figures = [long_run(options, clock.offset) for clock in switch_ons]
    count = len(figures)
    return {
        "format": FORMAT,
        "practice": "PRACTICE, SIMULATED: every figure is invented",
        "radio": options.radio.name,
        "seed": options.seed,
        "noise_us": options.noise_us,
        "flips": [_flip_entry(flip, options.radio.frame_ns, session_ns) for flip in flips],
        "long_run": {
            "mid_ms": round(sum(figure.mid_ms for figure in figures) / count, 6),
            "up_mid_ms": round(sum(figure.up_ms for figure in figures) / count, 6),
            "down_mid_ms": round(sum(figure.down_ms for figure in figures) / count, 6),
            "over_all_offsets_mid_ms": round(long_run(options, None).mid_ms, 6),
            "switch_ons": [
                {"switch_on": clock.number, "offset": clock.offset, "mid_ms": round(figure.mid_ms, 6)}
                for clock, figure in zip(switch_ons, figures, strict=True)
            ],
        },
        **({} if options.motion is None else _stick_entries(moves, session_ns)),
        **({} if options.motion is None else {"sweep": sweep_entry(options, switch_ons[-1], stick_age_ms)}),
    }


def _stick_entries(moves: Sequence[Move], session_ns: Callable[[int], int]) -> dict[str, Any]:
    ends_ns = [min(one.to_ns, other.from_ns) for one, other in itertools.pairwise(moves)] + [moves[-1].to_ns]
    return {
        "moves": [
            {
                "from_s": round(session_ns(move.from_ns) / 1e9, 9),
                "to_s": round(session_ns(end_ns) / 1e9, 9),
                "from": round(move.start, 9),
                "to": round(move.place_at(end_ns), 9),
            }
            for move, end_ns in zip(moves, ends_ns, strict=True)
            if end_ns > move.from_ns
        ],
    }


def _flip_entry(flip: Flip, frame_ns: int, session_ns: Callable[[int], int]) -> dict[str, Any]:
    trailing = {f"{point}_ms": _ms(flip.point_ms(n)) for n, point in enumerate(_POINTS)}
    leading = {f"{point}_lead_ms": _ms(flip.point_ms(n, leading=True)) for n, point in enumerate(_POINTS)}
    module_ms = None if flip.module_ns is None else _ms((flip.module_ns - flip.at_ns) / 1e6)
    return {
        "at_s": round(session_ns(flip.at_ns) / 1e9, 9),
        "direction": "up" if flip.up else "down",
        **trailing,
        **leading,
        "module_ms": module_ms,
        **_frames(flip, frame_ns),
        "dead": flip.dead,
        "switch_on": flip.switch_on,
    }


def _frames(flip: Flip, frame_ns: int) -> dict[str, float | int | None]:
    """Return how the flip and its mid answer lie among the frames; None where there is no pulse before it."""
    if flip.opening_ns is None:
        return {"phase": None, "frames_to_answer": None, "missing_pulses": None}
    phase = round((flip.at_ns - flip.opening_ns) / frame_ns % 1.0, 9)
    answer_ns = flip.leading_ns[1]
    if answer_ns is None or flip.point_ms(1) is None:
        return {"phase": phase, "frames_to_answer": None, "missing_pulses": None}
    frames = round((answer_ns - flip.opening_ns) / frame_ns)
    return {"phase": phase, "frames_to_answer": frames, "missing_pulses": frames - flip.pulses_to_mid}


def _ms(value: float | None) -> float | None:
    return None if value is None else round(value, 6)


def write_truth(path: Path, document: dict[str, Any]) -> None:
    """Write the document to its own file, whole or not at all.

    Raises DiskTrouble naming the file and the reason.
    """
    text = json.dumps(document, indent=1) + "\n"
    draft: Path | None = None
    try:
        draft = path.parent / f".benchapp-{secrets.token_hex(6)}.part"
        with draft.open("x", encoding="utf-8") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        draft.replace(path)
    except OSError as trouble:
        if draft is not None:
            with suppress(OSError):
                draft.unlink()
        reason = trouble.strerror or "the system gave no reason"
        raise DiskTrouble(f"The truth could not be written to {path}: {reason}. Choose another file.") from trouble
