"""The raw evidence of a session, for other programs."""

from collections.abc import Callable, Iterable, Mapping
from pathlib import Path

from benchapp.desk.names import shown
from benchapp.desk.outputs import check_target, write_whole
from benchapp.records.errors import WrongCall
from benchapp.sessions.exchange.capture import Capture
from benchapp.sessions.exchange.csv_text import write_csv
from benchapp.sessions.exchange.from_session import runs_to_capture
from benchapp.sessions.exchange.vcd_text import write_vcd
from benchapp.sessions.opening import open_session

FORMATS: Mapping[str, Callable[[Capture], Iterable[bytes]]] = {"vcd": write_vcd, "csv": write_csv}


def export(session: Path, out: Path, *, to: str, force: bool = False) -> None:
    """Write the evidence of a session's runs as a capture.

    Raises WrongCall for an unknown format, NotEnoughData for a session without a run, OutputExists, DiskTrouble, and
    what open_session raises.
    """
    if to not in FORMATS:
        raise WrongCall(f"Evidence can be written as {' or '.join(FORMATS)}, not as {shown(to)}.")
    check_target(out, force=force, inputs=[session])
    with open_session(session) as opened:
        capture = runs_to_capture(opened.runs(), started=opened.facts.started, name=opened.facts.name)
    write_whole(out, FORMATS[to](capture), force=force, inputs=[session])
