"""The state of the bench as the conductor knows it: the probe, its leads and what they are clipped to, the time."""

from collections.abc import Sequence

from benchapp.acquisition.clipping import own_roles
from benchapp.acquisition.safety import Confirmations
from benchapp.acquisition.session_log import SessionLog
from benchapp.acquisition.status import LinkState, Status
from benchapp.probe.link import Link
from benchapp.procedures.flips.bench_flips import BenchFlips
from benchapp.records.errors import BenchError
from benchapp.records.leads import Lead, Stretch
from benchapp.records.run import Origin, Polarity
from benchapp.records.stream import ClockPairs, Gap, Record

AHEAD_NS = 120_000_000
"""A heartbeat is due every 0.1 s: without anything from the probe, the session's clock is taken no further."""


class BenchState:
    """The link, the open stretch, the roles, the confirmations, the losses and the time."""

    def __init__(self) -> None:
        self.link: Link | None = None
        self.stretch: Stretch | None = None
        self.leads: tuple[Lead, ...] = ()
        self.roles: dict[int, str] = {}
        self.polarity: dict[int, Polarity] = {}
        self.confirmations = Confirmations()
        self.flips = BenchFlips()
        self.lost = False
        self.lead_levels = 0
        self.missed = 0
        self.seen_ns = 0
        self.message = ""
        self.kept = ""
        self.trouble = ""
        self._seen_host_ns = 0

    @property
    def origin(self) -> Origin:
        """Whether the evidence comes from a probe or from the practice bench."""
        return self.link.origin if self.link else Origin.PROBE

    def host_ns(self) -> int:
        """Return the link's host clock."""
        return self.link.host_ns() if self.link else 0

    def now_ns(self) -> int:
        """Return the session's clock: the latest stamp, carried on by the host clock for a heartbeat's time."""
        return self.seen_ns + max(0, min(self.host_ns() - self._seen_host_ns, AHEAD_NS))

    def session_ns(self, host_ns: int) -> int:
        """Return a moment of the link's host clock on the session's clock; before its first start it is negative."""
        return self.seen_ns + host_ns - self._seen_host_ns

    def take(self, record: Record) -> None:
        """Note how far the probe's time has come, and what was lost."""
        if isinstance(record, Gap):
            self.missed += record.count or 0
            return
        stamps = record.probe_ns if isinstance(record, ClockPairs) else record.times_ns
        if stamps.size and int(stamps[-1]) > self.seen_ns:
            self.seen_ns, self._seen_host_ns = int(stamps[-1]), self.host_ns()

    def meet(self, link: Link, leads: Sequence[Lead]) -> None:
        """Note which probe answered; roles stay where its leads are the same ones as before."""
        self.link = link
        if [lead.label for lead in leads] != [lead.label for lead in self.leads]:
            self.roles = own_roles(leads)
            self.polarity = {}
        self.leads = tuple(leads)

    def open_stretch(self, stretch: Stretch, link: Link) -> None:
        """Note a new stretch of the probe on this link."""
        self.meet(link, stretch.leads)
        self.stretch, self.lost = stretch, False
        self.flips.begin(stretch.leads, self.roles, self.polarity)
        self.seen_ns, self._seen_host_ns = stretch.origin_ns, self.host_ns()

    def lose(self) -> None:
        """Note that the probe is lost; its leads and their roles are remembered."""
        self.stretch, self.lost = None, True

    def clip(self, lead: int, role: str) -> None:
        """Clip a lead to a role, which leaves the lead it was on; role "" takes the lead off."""
        self.roles = {index: kept for index, kept in self.roles.items() if kept != role and index != lead}
        if role:
            self.roles[lead] = role
        self.flips.begin(self.leads, self.roles, self.polarity)

    def say_pulse(self, lead: int, polarity: Polarity) -> None:
        """Note which state of a lead is its pulse; FIND forgets what was said."""
        self.polarity = {index: kept for index, kept in self.polarity.items() if index != lead}
        if polarity is not Polarity.FIND:
            self.polarity[lead] = polarity
        self.flips.begin(self.leads, self.roles, self.polarity)

    def begin_anew(self) -> None:
        """Forget the time: a new session's clock begins at its own first start."""
        self.stretch = None
        self.seen_ns, self.missed, self._seen_host_ns = 0, 0, self.host_ns()

    def say(self, trouble: BenchError, *, kept: str = "") -> None:
        """Note what is to be said of a trouble; kept is used where the trouble itself does not say what was kept."""
        self.message, self.kept, self.trouble = trouble.message, trouble.kept or kept, type(trouble).__name__

    def say_nothing(self) -> None:
        """Forget the trouble that was said: it is over."""
        self.message = self.kept = self.trouble = ""

    def status(self, link: LinkState, log: SessionLog) -> Status:
        """Return the snapshot; what the writer acknowledged is added by the recording."""
        recorded = None if log.began_ns is None or not log.recording else (self.now_ns() - log.began_ns) / 1e9
        host_ns = self.host_ns()
        return Status(
            link=link,
            probe=self.link.name if self.link else "",
            origin=self.origin,
            now_ns=self.now_ns() if self.stretch else None,
            host_ns=host_ns,
            leads=self.leads,
            roles=dict(self.roles),
            polarity=dict(self.polarity),
            lead_levels=self.lead_levels,
            recorded_s=recorded,
            missed=self.missed,
            run=log.progress,
            last_flip=self.flips.last,
            refusals=self.confirmations.refusals(self.origin, host_ns),
            on_bench=self.confirmations.on_bench,
            message=self.message,
            kept=self.kept,
            trouble=self.trouble,
            session=log.path,
        )
