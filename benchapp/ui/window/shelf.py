"""The sessions that are kept: those open lately, deleted ones that can be taken back, those a crash left open."""

import json
from collections.abc import Callable
from datetime import UTC, datetime
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QObject, Signal, Slot

from benchapp import desk
from benchapp.presentation.ground.messages import Message, message_for
from benchapp.presentation.screens.shelf_words import (
    GONE,
    OPEN_IT,
    SKIP,
    UNDO,
    closed_now_message,
    deleted_message,
    restored_message,
    stopped_early_message,
    tidied_message,
)
from benchapp.records.errors import BenchError, DamagedEvidence
from benchapp.ui.kept.kept_values import kept_json
from benchapp.ui.kept.memory import Memory
from benchapp.ui.kept.recents import Recent, recent_sessions, with_recent, without_recent
from benchapp.ui.kept.settings import trash_folder
from benchapp.ui.link.bridge import LONGEST_WAIT_S, Bridge
from benchapp.ui.link.open_session import ReadSession
from benchapp.ui.widgets.banner import Act

if TYPE_CHECKING:
    from benchapp.desk.loading import Loaded
    from benchapp.desk.trash import Discarded
    from benchapp.desk.unfinished import Unfinished

_MOST_SKIPPED = 100


class Shelf(QObject):
    """Keeps the list of recent sessions; offers deleted ones to be taken back, and ones that a crash left open."""

    changed = Signal()
    gone = Signal(object)
    said = Signal(object, object)
    trash_seen = Signal(object)
    open_wanted = Signal(object)
    trouble = Signal(object)

    def __init__(self, bridge: Bridge, memory: Memory, *, folder: Callable[[], Path], parent: QObject) -> None:
        super().__init__(parent)
        self._bridge = bridge
        self._memory = memory
        self._folder = folder
        self._reasons: dict[str, str] = {}
        self._missing: frozenset[str] = frozenset()
        self._waiting: list[Unfinished] = []
        self._finished: dict[Path, str] = {}

    def recents(self) -> list[tuple[Recent, str]]:
        """Return the sessions open lately, each with why it cannot be read, "" where it can."""
        return [
            (recent, self._reasons.get(recent.path, GONE if recent.path in self._missing else ""))
            for recent in recent_sessions(self._memory.now.recent)
        ]

    @Slot()
    def look_for_missing(self) -> None:
        """Look which of the sessions opened lately are no longer where they were, and tell where that changed."""
        paths = [recent.path for recent in recent_sessions(self._memory.now.recent)]
        self._submit(lambda: frozenset(path for path in paths if not Path(path).exists()), self._missing_seen)

    def _missing_seen(self, missing: frozenset[str]) -> None:
        if missing != self._missing:
            self._missing = missing
            self.changed.emit()

    @property
    def emptied(self) -> bool:
        """Whether the list of recent sessions is empty after it once held some."""
        return bool(self._memory.now.recent) and not recent_sessions(self._memory.now.recent)

    @Slot(object, object)
    def refused(self, path: Path, message: Message) -> None:
        """Strike a session that cannot be read out, with the reason, until the program ends or it can be read again."""
        self._reasons[str(path.absolute())] = message.details or message.title
        self.changed.emit()

    def opened(self, session: ReadSession) -> None:
        """Put a session first in the list, and say so if it was closed properly only now."""
        path = session.path.absolute()
        self._reasons.pop(str(path), None)
        recent = _recent(path, session.loaded)
        self._memory.refresh()
        self._memory.change(recent=with_recent(self._memory.now.recent, recent))
        self.changed.emit()
        kept = self._finished.pop(path, "")
        if kept:
            self.said.emit(closed_now_message(recent.name, kept=kept), ())

    @Slot(object)
    def delete(self, path: Path) -> None:
        """Move a session into the trash; one whose file is gone only leaves the list."""
        self._submit(lambda: _discarded(path), partial(self._deleted, path))

    def _deleted(self, path: Path, discarded: "Discarded | None") -> None:
        if discarded is None:
            self._forget(path)
        else:
            self._offer_undo(discarded)

    def _offer_undo(self, discarded: "Discarded") -> None:
        listed = recent_sessions(self._memory.now.recent)
        path = str(discarded.path)
        place = next((place for place, recent in enumerate(listed) if recent.path == path), 0)
        recent = listed[place] if listed else Recent(path=path, name=discarded.name)
        self._forget(discarded.path)
        self.gone.emit(discarded.path)
        self.look_in_trash()
        undo = Act(words=UNDO, do=partial(self._undo, discarded, recent, place))
        self.said.emit(deleted_message(recent.name, days=discarded.kept_days), (undo,))

    def _undo(self, discarded: "Discarded", recent: Recent, place: int) -> None:
        back = partial(self._taken_back, recent, place)
        self._submit(lambda: desk.trash.take_back(discarded), back)

    def _taken_back(self, recent: Recent, place: int, _path: Path) -> None:
        self._memory.change(recent=with_recent(self._memory.now.recent, recent, at=place))
        self.changed.emit()
        self.look_in_trash()

    def look_in_trash(self) -> None:
        """Look for what lies in the trash, and tell."""
        home = self._folder()
        self._submit(lambda: desk.trash.discarded_sessions(trash_folder(), home=home), self.trash_seen.emit)

    @Slot(object)
    def restore(self, discarded: "Discarded") -> None:
        """Take a session out of the trash and put it first in the list."""
        self._submit(partial(_restored, discarded), self._restored)

    def _restored(self, recent: Recent) -> None:
        self._memory.refresh()
        self._taken_back(recent, 0, Path(recent.path))
        open_it = Act(words=OPEN_IT, do=partial(self.open_wanted.emit, Path(recent.path)))
        self.said.emit(restored_message(recent.name), (open_it,))

    def _forget(self, path: Path) -> None:
        self._memory.refresh()
        self._memory.change(recent=without_recent(self._memory.now.recent, str(path)))
        self.changed.emit()

    def look_for_unfinished(self) -> None:
        """Look for sessions that were stopped early, and offer those that were not skipped before.

        What lay in the trash long enough is deleted for good first.
        Each is offered once, with what was kept of it; one that was skipped is never offered again.
        """
        self._submit(_empty_trash, _nothing)
        self.look_in_trash()
        folder = self._folder()
        self._submit(lambda: desk.tidying.tidy(folder), partial(self._tidied, folder))
        self._submit(lambda: desk.unfinished.unfinished_sessions(folder), self._found_unfinished)

    def _tidied(self, folder: Path, count: int) -> None:
        if count:
            self.said.emit(tidied_message(count, str(folder)), ())

    def _found_unfinished(self, found: "tuple[Unfinished, ...]") -> None:
        skipped = self._skipped()
        self._waiting = [session for session in found if str(session.path) not in skipped]
        self._offer_next()

    def _offer_next(self) -> None:
        if not self._waiting:
            return
        session = self._waiting.pop(0)
        acts = (
            Act(words=OPEN_IT, do=partial(self._finish, session)),
            Act(words=SKIP, do=partial(self._skip, session)),
        )
        more = len(self._waiting)
        message = stopped_early_message(session.name, kept=session.kept, more=more, damaged=session.damaged)
        self.said.emit(message, acts)

    def _finish(self, session: "Unfinished") -> None:
        done, failed = partial(self._was_finished, session.path), partial(self._was_not_finished, session.path)
        self._bridge.submit(
            lambda: desk.recovering.recover_session(session.path),
            done=done,
            failed=failed,
            what=str(session.path),
            said_after_s=LONGEST_WAIT_S,
        )

    def _was_finished(self, path: Path, kept: str) -> None:
        self._finished[path.absolute()] = kept
        self.open_wanted.emit(path)

    def _was_not_finished(self, path: Path, error: BaseException) -> None:
        """Show a session that cannot be closed all the same: what is missing of it is said on its page."""
        self._refused(error)
        if isinstance(error, DamagedEvidence):
            self.open_wanted.emit(path)

    def _skip(self, session: "Unfinished") -> None:
        self._memory.refresh()
        self._memory.change(skipped=json.dumps([*self._skipped(), str(session.path)][-_MOST_SKIPPED:]))
        self._offer_next()

    def _skipped(self) -> list[str]:
        skipped = kept_json(self._memory.now.skipped, [])
        return [path for path in skipped if isinstance(path, str)] if isinstance(skipped, list) else []

    def _submit(self, work: Callable[[], Any], done: Callable[[Any], None]) -> None:
        self._bridge.submit(
            work, done=done, failed=self._refused, what=str(self._folder()), said_after_s=LONGEST_WAIT_S
        )

    def _refused(self, error: BaseException) -> None:
        self.trouble.emit(message_for(error))


def _recent(path: Path, loaded: "Loaded") -> Recent:
    """Return what the list keeps of a session; its words are loaded only now: Start does not wait for them."""
    from benchapp.presentation.screens.recent_told import recent_told  # noqa: PLC0415
    from benchapp.presentation.shown import test_words  # noqa: PLC0415

    facts, runs = loaded.facts, loaded.findings.runs
    told = recent_told(test_words(runs[-1].test), runs[-1]) if runs else ""
    name = facts.name or path.stem
    return Recent(path=str(path), name=name, started=facts.started or "", origin=facts.origin.value, told=told)


def _discarded(path: Path) -> "Discarded | None":
    """Move a session into the trash; return None where its file is not there any more."""
    if not path.exists():
        return None
    return desk.trash.discard(path, trash_folder(), now=datetime.now(UTC))


def _empty_trash() -> None:
    desk.trash.empty_old(trash_folder(), now=datetime.now(UTC))


def _restored(discarded: "Discarded") -> Recent:
    """Take a session out of the trash and read what it is called; done on the worker."""
    path = desk.trash.take_back(discarded)
    try:
        return _recent(path, desk.loading.load(path))
    except BenchError:  # a damaged one comes back as well; opening it says what is wrong
        return Recent(path=str(path), name=path.stem)


def _nothing(_result: object) -> None:
    """Do nothing more."""
