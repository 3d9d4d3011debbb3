"""A session whose writer died: what a crash leaves on the disk."""

from pathlib import Path

from tests.sessions.session_builder import SWITCH, edges, new_writer, start, stretch

SECOND = 1_000_000_000


def stopped_early(path: Path, *, seconds: int = 39) -> Path:
    """Make a session of so many edges, with its write-ahead file and its lock file, with the note in it, beside it."""
    path.parent.mkdir(parents=True, exist_ok=True)
    dying = path.with_name("dying.t2h")
    writer = new_writer(dying)
    writer.add_stretch(stretch())
    writer.add_event(start(at_ns=0))
    for second in range(1, seconds + 1):
        writer.add_record(1, edges(SWITCH, [second * SECOND]))
        writer.commit()
    for ending in ("", "-wal", ".lock"):
        path.with_name(path.name + ending).write_bytes(dying.with_name(dying.name + ending).read_bytes())
    writer.abandon()
    dying.unlink()
    return path
