"""How the probe, the saving and the run are at this moment, in one frozen snapshot."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from types import MappingProxyType

from benchapp.procedures.gate import OnBench, Refusal
from benchapp.procedures.ground.progress import RunProgress
from benchapp.records.flip_seen import FlipSeen
from benchapp.records.leads import Lead
from benchapp.records.run import Origin, Polarity


class LinkState(StrEnum):
    """How the probe is; each has its words in `presentation`."""

    LOOKING = "looking"
    READY = "ready"
    RECORDING = "recording"
    PAUSED = "paused"
    LOST = "lost"
    IN_USE = "in-use"
    NOT_ALLOWED = "not-allowed"
    NOT_OUR_PROBE = "not-our-probe"
    NO_PROGRAM = "no-program"
    OLD_PROGRAM = "old-program"
    OTHER_PROBE = "other-probe"
    CLOSED = "closed"


@dataclass(frozen=True, kw_only=True, slots=True)
class Status:
    """One snapshot, made by the conductor and read by anyone.

    probe        : the link's own words for itself;   origin : probe or practice
    now_ns       : the session's clock, None before the first stretch;  host_ns : the link's host clock
    leads        : the leads of the stretch that is open;  roles {lead index: role}
    polarity     : {lead index: the state said to be its pulse}; a lead that is not there is left to the data
    recorded_s   : seconds since the session file was begun, None where nothing is being recorded
    saved_ago_s  : seconds since the last commit;  saved_records : how many records were acknowledged
    saved_run    : the newest run whose end was acknowledged, 0 before any; None where that is not told
    disk_silent_s : how long the disk has not answered, None while it does
    missed       : records the probe or the way here lost, until acknowledged
    run          : the run that is open, or the last one; None before the first
    last_flip    : the newest flip of the switch that was measured on the bench, in a run or not
    refusals     : the safety lines that stand in the way of a run;  on_bench : what was said to be on the bench
    message      : one plain sentence for a lasting trouble, "" if there is none; kept : what was kept;
                   trouble : the name of its class in records.errors
    session      : the session file's path as text, "" if there is none
    """

    link: LinkState
    probe: str
    origin: Origin
    now_ns: int | None = None
    host_ns: int = 0
    leads: tuple[Lead, ...] = ()
    roles: Mapping[int, str] = field(default_factory=lambda: MappingProxyType({}))
    polarity: Mapping[int, Polarity] = field(default_factory=lambda: MappingProxyType({}))
    lead_levels: int = 0
    recorded_s: float | None = None
    saved_ago_s: float | None = None
    saved_records: int = 0
    saved_run: int | None = None
    disk_silent_s: float | None = None
    missed: int = 0
    run: RunProgress | None = None
    last_flip: FlipSeen | None = None
    refusals: tuple[Refusal, ...] = ()
    on_bench: OnBench | None = None
    message: str = ""
    kept: str = ""
    trouble: str = ""
    session: str = ""
