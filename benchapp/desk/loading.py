"""A session read from its file, and its findings made."""

from dataclasses import dataclass
from pathlib import Path

from benchapp.desk.names import shown
from benchapp.records.errors import NotEnoughData, WrongInput
from benchapp.records.findings import SessionFindings
from benchapp.records.run import RunEvidence, SessionFacts
from benchapp.reduction.recipes import reduce_session
from benchapp.sessions.opening import open_session


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Loaded:
    """A session: what its file says of itself, what its runs say, and their evidence.

    kept says what there is of a session that was not closed, as the end of a sentence; "" for one that was.
    """

    facts: SessionFacts
    findings: SessionFindings
    runs: tuple[RunEvidence, ...]
    kept: str = ""


def load(path: Path) -> Loaded:
    """Return a session with its findings; the file is not changed and not kept open.

    Raises WrongInput, NewerSession or DamagedEvidence as open_session does; WrongInput or NotEnoughData, naming the
    file, where a run cannot be reduced.
    """
    with open_session(path) as session:
        runs = session.runs()
        try:
            findings = reduce_session(runs)
        except (WrongInput, NotEnoughData) as refusal:  # a reduction knows runs, and no file
            raise type(refusal)(f"{shown(path)}: {refusal.message.rstrip('.')}.") from refusal
        return Loaded(facts=session.facts, findings=findings, runs=runs, kept=session.kept)
