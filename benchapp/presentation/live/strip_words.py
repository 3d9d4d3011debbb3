"""The strip at the bottom of the window: how the probe is, how the saving is, in words."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from benchapp.presentation.ground.cleaning import clean
from benchapp.presentation.ground.numbers import counted, sentence_start
from benchapp.presentation.ground.run_words import LINKS
from benchapp.records.run import Origin


class StripMark(StrEnum):
    """The shape beside the words; each state of the strip has one, and no two that differ in meaning share it."""

    NONE = "none"
    LOOKING = "looking"
    READY = "ready"
    RECORDING = "recording"
    PAUSED = "paused"
    TROUBLE = "trouble"
    SAVED = "saved"


_MARKS: Mapping[str, StripMark] = {
    "looking": StripMark.LOOKING,
    "ready": StripMark.READY,
    "recording": StripMark.RECORDING,
    "paused": StripMark.PAUSED,
    "lost": StripMark.TROUBLE,
    "in-use": StripMark.TROUBLE,
    "not-allowed": StripMark.TROUBLE,
    "not-our-probe": StripMark.TROUBLE,
    "no-program": StripMark.TROUBLE,
    "old-program": StripMark.TROUBLE,
    "other-probe": StripMark.TROUBLE,
}
SESSION_ENDED = "Session ended and kept"
PRACTICE_TAG = "PRACTICE, SIMULATED"


@dataclass(frozen=True, kw_only=True, slots=True)
class StripWords:
    """What the strip says: the state at the left, the saving at the right; recording turns the strip dark.

    tag stands out between them, "" where nothing is simulated. can_end: a session is open that can be ended here.
    """

    state: str
    saving: str
    recording: bool
    missed: bool
    mark: StripMark = StripMark.NONE
    tag: str = ""
    can_end: bool = False


NO_PROBE = StripWords(state="No probe", saving="", recording=False, missed=False)


LOOKING = StripWords(state="Looking", saving="", recording=False, missed=False, mark=StripMark.LOOKING)


def refused_words(port: str, link: str) -> StripWords:
    """Return the strip after a port could not be opened; link is the state's key, "" for none of its own."""
    if not link:
        return NO_PROBE
    return strip_words(link, probe=port, origin=Origin.PROBE, recorded_s=None, saved_ago_s=None, missed=0)


def saved_session_words(name: str, *, origin: Origin) -> StripWords:
    """Return the strip for a session opened from its file."""
    return StripWords(
        state=f"Saved session: {clean(name, limit=60)}",
        saving="",
        recording=False,
        missed=False,
        mark=StripMark.SAVED,
        tag=_tag(origin),
    )


def strip_words(
    link: str,
    *,
    probe: str,
    origin: Origin,
    recorded_s: float | None,
    saved_ago_s: float | None,
    missed: int,
    disk_silent_s: float | None = None,
    saved_records: int = 0,
    can_end: bool = False,
    ended: bool = False,
) -> StripWords:
    """Return the strip for a bench that is open; link is the state's key.

    can_end : a session is open and no run goes on; ended : the last session was ended, and none is open since
    disk_silent_s : how long the disk has not answered, None while it does; saved_records : what is safe on it
    """
    named = clean(probe, limit=40) or ("practice bench" if origin is Origin.PRACTICE else "")
    head = " · ".join(part for part in (named, LINKS.get(link, link)) if part)
    recording = recorded_s is not None and link in {"recording", "paused"}
    if recorded_s is not None and recording:
        head = f"{head} {_clock(recorded_s)}"
    saving = [] if saved_ago_s is None else [_saved(saved_ago_s)]
    if ended:
        saving = [SESSION_ENDED]
    if disk_silent_s is not None:
        saving = [_silent(disk_silent_s, saved_records)]
    if recorded_s is not None or missed:
        saving.append(f"{counted(missed, 'record')} missed")
    return StripWords(
        state=sentence_start(head), saving=" · ".join(saving), recording=recording and link == "recording",
        missed=missed > 0, tag=_tag(origin),
        mark=_MARKS.get(link, StripMark.NONE) if disk_silent_s is None else StripMark.TROUBLE, can_end=can_end,
    )  # fmt: skip


def _tag(origin: Origin) -> str:
    return PRACTICE_TAG if origin is Origin.PRACTICE else ""


def _saved(ago_s: float) -> str:
    return "Saved just now" if ago_s < 1 else f"Saved {ago_s:.0f} s ago"


def _silent(silent_s: float, records: int) -> str:
    kept = f"{counted(records, 'record')} before that are safe" if records != 1 else "1 record before that is safe"
    return f"The disk has not answered for {silent_s:.0f} s · {kept}"


def _clock(seconds: float) -> str:
    minutes, rest = divmod(int(seconds), 60)
    hours, minutes = divmod(minutes, 60)
    return f"{hours}:{minutes:02d}:{rest:02d}" if hours else f"{minutes:02d}:{rest:02d}"
