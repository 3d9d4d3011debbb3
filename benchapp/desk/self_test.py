"""Has a probe test its own leads, and keeps what it found."""

from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

from benchapp.desk.probe_tests import keep_test
from benchapp.probe.conversation import Conversation
from benchapp.probe.opening import open_link
from benchapp.probe.self_test import EDGES, run_self_test
from benchapp.records.errors import WrongCall
from benchapp.records.run import Origin
from benchapp.records.self_test import SelfTest, SelfTestProgress


def self_test(
    port: str,
    *,
    tell: Callable[[SelfTestProgress], None] = lambda _progress: None,
    stop: Callable[[], bool] = lambda: False,
    edges: int = EDGES,
    tests_file: Path | None = None,
) -> SelfTest:
    """Return what a probe found about its edge leads, each wired to the drive lead in turn, and keep it. Blocks.

    Call it only for a port that `is_seen`, or after somebody agreed, and with nothing but the wire on the probe: the
    drive lead moves. tell is called in the caller's thread, stop asked after every read (20 ms); a stop ends the test
    and keeps the leads that were tested. Raises WrongCall for what is no port, StoppedByHand where no lead was tested,
    ProbeTrouble, and DiskTrouble where the result could not be kept.
    """
    link = open_link(port)
    if link.origin is not Origin.PROBE:
        link.close()
        raise WrongCall("The practice bench has no leads to test. Name the port of a probe.")
    talk = Conversation(link)
    try:
        leads = run_self_test(talk, tell=tell, stop=stop, edges=edges)
        board = talk.timebase.board
    finally:
        talk.close()
    return keep_test(
        SelfTest(
            serial=board.serial if board else "",
            program=board.program if board else "",
            tested_on=datetime.now(UTC).date().isoformat(),
            leads=leads,
        ),
        tests_file,
    )
