"""The leads of a practice bench with a stick, and what they carry while it is swept or held."""

import numpy as np

from benchapp.records.leads import Lead, LeadKind
from benchapp.records.stream import Levels
from tests.ui.fake_bench import LEADS, FakeRecording, edges

STICK = Lead(
    index=3,
    label="stick",
    kind=LeadKind.LEVEL,
    role="stick",
    resolution_ns=62.5,
    full_scale_v=3.3,
    full_scale_counts=1023,
)
HAND = Lead(index=8, label="stick hand", kind=LeadKind.DRIVE, resolution_ns=62.5)
PLACE = Lead(index=9, label="stick place", kind=LeadKind.DRIVE, resolution_ns=62.5)
STICK_LEADS = (*LEADS, STICK, HAND, PLACE)
SECOND = 1_000_000_000


def place_at(seconds):
    """Return where the stick is that goes from end to end in 5 s, with rests of a second, 0 to 1."""
    return np.interp(np.asarray(seconds) % 12.0, (0.0, 1.0, 6.0, 7.0, 12.0), (0.0, 0.0, 1.0, 1.0, 0.0))


def with_stick(recording: FakeRecording, *, to_s: float, held: bool = False) -> FakeRecording:
    """Give a recording so many seconds of a stick and of the pulses that follow it."""
    at = np.arange(0.0, to_s, 0.004)
    place = np.full(at.size, 0.5) if held else place_at(at)
    counts = np.rint(155 + 713 * place).astype(np.uint16)
    recording.feed.push(Levels(lead=STICK.index, times_ns=np.rint(at * SECOND).astype(np.int64), values=counts))
    begun = np.arange(0.003, to_s - 0.01, 0.01)
    noise = np.random.default_rng(1).normal(0.0, 0.4, begun.size)
    lasting_us = 1500.0 + noise if held else 1108.0 + 778.0 * place_at(begun - 0.02) + noise
    starts = np.rint(begun * SECOND).astype(np.int64)
    recording.feed.push(
        edges(0, np.column_stack((starts, starts + np.rint(lasting_us * 1e3).astype(np.int64))).ravel())
    )
    return recording
