"""A session made from a capture of any instrument."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from types import MappingProxyType

from benchapp.desk.inputs import read_bytes
from benchapp.desk.names import shown
from benchapp.desk.outputs import replacing
from benchapp.desk.software import recorder
from benchapp.procedures.named import check_settings
from benchapp.records.errors import DiskTrouble, WrongCall, WrongInput
from benchapp.records.named_tests import named_test
from benchapp.records.run import PickUp, RunSettings
from benchapp.sessions.exchange.capture import Capture
from benchapp.sessions.exchange.csv_columns import read_csv
from benchapp.sessions.exchange.thresholds import Threshold, threshold_named, thresholded
from benchapp.sessions.exchange.to_session import ImportedSession, capture_to_session
from benchapp.sessions.exchange.vcd import read_vcd
from benchapp.sessions.store import SessionWriter

MOST_BYTES = 4_000_000_000
_CSV_ENDINGS = {".csv", ".tsv", ".txt"}


@dataclass(frozen=True, kw_only=True, slots=True)
class ImportOrder:
    """One capture to import: what it is, what its leads are clipped to, and where the session goes.

    leads maps the capture's names to roles; invert names leads to turn over; time, skip and thresholds are for
    columns (interfaces of the CSV reader). pick_up says how the flip reached the instrument, None: not noted.
    correction_ms is added to every latency, right to within correction_within_ms; both or neither.
    """

    capture: Path
    test: str
    out: Path
    leads: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))
    invert: Sequence[str] = ()
    time: str | None = None
    skip: int = 0
    thresholds: Mapping[str, Threshold] = field(default_factory=lambda: MappingProxyType({}))
    threshold_words: Sequence[str] = ()
    pick_up: PickUp | None = None
    correction_ms: float | None = None
    correction_within_ms: float | None = None
    force: bool = False

    def all_thresholds(self) -> dict[str, Threshold]:
        """Return the thresholds given as values and as words (LEAD=V). Raises WrongCall for words that are none."""
        return dict(self.thresholds) | dict(threshold_named(words) for words in self.threshold_words)


def import_capture(order: ImportOrder) -> tuple[str, ...]:
    """Make a session of a capture; return sentences about what was left out.

    Raises WrongInput with file, line and reason for a capture that cannot be read, WrongCall for names that do not
    fit it, OutputExists, DiskTrouble. Nothing is written then.
    """
    named_test(order.test)
    correction = RunSettings(correction_ms=order.correction_ms, correction_within_ms=order.correction_within_ms)
    if correction != RunSettings():
        check_settings(order.test, correction)
    with replacing(order.out, force=order.force, session=True, inputs=[order.capture]) as draft:
        session = capture_to_session(
            read_capture(order), order.leads, order.invert, order.test, order.pick_up, corrected=correction
        )
        try:
            _write(session, draft, name=order.capture.stem)
        except DiskTrouble as trouble:
            # a person knows the name they gave, not the draft's, and of the draft nothing is kept
            what = trouble.message.removesuffix(trouble.kept).strip().replace(draft.name, order.out.name)
            raise DiskTrouble(what, kept="Nothing was written.") from trouble
    return session.remarks


def read_capture(order: ImportOrder) -> Capture:
    """Return what a capture file holds, VCD or CSV as its name or else its first sign says."""
    data = read_bytes(order.capture, most=MOST_BYTES)
    file = order.capture.name
    if not data.strip():
        raise WrongInput(f"{shown(order.capture)} is empty; a VCD or CSV capture was expected.")
    if _is_vcd(order.capture, data):
        if order.time is not None or order.skip:
            raise WrongCall("--time and --skip are for a CSV capture; this one is a VCD. Leave them out.")
        return thresholded(read_vcd(data, file=file), order.all_thresholds())
    return read_csv(data, file=file, time=order.time, skip=order.skip, thresholds=order.all_thresholds())


def _is_vcd(path: Path, data: bytes) -> bool:
    ending = path.suffix.lower()
    if ending == ".vcd" or ending in _CSV_ENDINGS:
        return ending == ".vcd"
    return data[:4096].lstrip(b"\xef\xbb\xbf \t\r\n").startswith(b"$")


def _write(session: ImportedSession, path: Path, *, name: str) -> None:
    writer = SessionWriter.create(path, origin=session.origin, software=recorder(), started=session.started, name=name)
    try:
        writer.add_stretch(session.stretch)
        for event in session.events:
            writer.add_event(event)
        for record in session.records:
            writer.add_record(session.stretch.number, record)
        writer.close()
    except BaseException:
        writer.abandon()
        raise
