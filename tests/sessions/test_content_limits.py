"""Small files that say they hold far more than anybody records: refused by what they say, before it is unpacked."""

from collections.abc import Callable
from pathlib import Path

import pytest

from benchapp.desk.loading import load
from benchapp.records.errors import DamagedEvidence, WrongInput
from benchapp.sessions import block_index, scanning
from benchapp.sessions.blocks import LONGEST_BLOCK_NS, MOST_IN_A_BLOCK
from benchapp.sessions.content_limits import MOST_RUNS, refuse_too_many_runs
from benchapp.sessions.opening import open_session
from benchapp.sessions.packing import BadBlock
from tests.campaigns import bombs
from tests.sessions.session_builder import OUTPUT, SWITCH, fill, new_writer, small_session, start, stop, stretch

S = 1_000_000_000


@pytest.fixture
def unpacked(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """Counts the records of every block that was unpacked while a session was opened."""
    counts: list[int] = []
    plain = block_index.unpack_block

    def counting(block: block_index.Block) -> object:
        counts.append(block.count)
        return plain(block)

    monkeypatch.setattr(block_index, "unpack_block", counting)
    return counts


@pytest.mark.parametrize(
    ("bomb", "size"),
    [
        (bombs.overfull_blocks, 60_000),
        (bombs.edges_at_one_stamp, 200_000),
        (bombs.endless_pulses, 300_000),
        (bombs.endless_gaps, 300_000),
        (lambda path, size: bombs.endless_gaps(path, size, a_block=120_000), 300_000),
    ],
    ids=["overfull blocks", "edges at one stamp", "endless pulses", "endless gaps", "overfull gaps"],
)
def test_a_small_file_that_says_it_holds_too_much_is_refused_before_anything_is_unpacked(
    tmp_path: Path, unpacked: list[int], bomb: Callable[[Path, int], None], size: int
) -> None:
    path = tmp_path / "bomb.t2h"
    bomb(path, size)
    assert path.stat().st_size < 2 * size
    with pytest.raises(DamagedEvidence, match=r"is not made as a session is: its blocks say they hold [0-9,]+"):
        open_session(path)
    assert unpacked == []


def test_a_block_that_holds_more_than_a_writer_puts_there_is_damaged(tmp_path: Path, unpacked: list[int]) -> None:
    path = tmp_path / "bomb.t2h"
    bombs.overfull_blocks(path, 1)
    session = open_session(path)
    assert (session.good_blocks, session.blocks) == (0, 1)
    with pytest.raises(BadBlock, match=f"up to {MOST_IN_A_BLOCK} records, not 65536"):
        block_index.unpack_block(bombs.overfull_block(0))


def test_a_block_that_spans_more_time_than_a_writer_lets_it_is_damaged() -> None:
    with pytest.raises(BadBlock, match="spans up to 30 s"):
        block_index.unpack_block(bombs.edge_block(OUTPUT, 0, [0, LONGEST_BLOCK_NS + 1]))
    assert block_index.unpack_block(bombs.edge_block(OUTPUT, 0, [0, LONGEST_BLOCK_NS])).times_ns.size == 2


@pytest.mark.parametrize(
    ("bomb", "what"), [(bombs.endless_flips, "flips of its switch"), (bombs.endless_strokes, "strokes of its stick")]
)
def test_more_flips_or_strokes_than_a_run_can_have_are_refused_in_a_line(
    tmp_path: Path, bomb: Callable[[Path, int], None], what: str
) -> None:
    path = tmp_path / "bomb.t2h"
    bomb(path, 40_000)
    with pytest.raises(WrongInput, match=rf"bomb\.t2h.*: run 1 holds [0-9,]+ {what}; wanted up to [0-9,]+\..*[^.]\.$"):
        load(path)


def test_runs_that_lie_over_one_another_are_refused(tmp_path: Path) -> None:
    path = tmp_path / "bomb.t2h"
    bombs.many_runs(path, 40_000)
    with pytest.raises(DamagedEvidence, match="Runs follow one another"):
        open_session(path)


def test_runs_that_follow_one_another_are_read_however_many_a_day_holds(tmp_path: Path) -> None:
    path = tmp_path / "many.t2h"
    bombs.many_runs(path, 40_000, apart=True)
    assert len(open_session(path).runs()) > 90
    spans = [(run * S, (run + 1) * S) for run in range(MOST_RUNS)]
    refuse_too_many_runs(spans, path)
    with pytest.raises(DamagedEvidence, match="1,001 runs; wanted up to 1,000"):
        refuse_too_many_runs([*spans, (2_000 * S, 2_001 * S)], path)


def test_a_pause_between_runs_and_a_run_begun_a_moment_early_are_no_overlap(tmp_path: Path) -> None:
    refuse_too_many_runs([(0, 10 * S), (3_600 * S, 3_610 * S), (3_609 * S, 3_700 * S)], tmp_path / "a.t2h")


def test_a_run_without_a_stop_ended_by_the_time_the_next_began(tmp_path: Path) -> None:
    path = tmp_path / "a.t2h"
    writer = new_writer(path)
    writer.add_stretch(stretch())
    writer.add_event(start(1, at_ns=S))
    writer.add_record(1, bombs.switch_edges(20))
    writer.add_event(start(2, at_ns=8 * S))
    writer.add_event(stop(2, at_ns=15 * S))
    writer.commit()
    writer.abandon()
    runs = open_session(path).runs()
    assert [(run.start_ns, run.stop_ns) for run in runs] == [(S, 8 * S), (8 * S, 15 * S)]


def test_what_a_writer_makes_is_never_too_much(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[int] = []
    plain = scanning.refuse_overfull
    monkeypatch.setattr(
        scanning, "refuse_overfull", lambda rows, path: (asked.append(sum(row[7] for row in rows)), plain(rows, path))
    )
    small_session(tmp_path / "a.t2h", seconds=60)
    writer = new_writer(tmp_path / "b.t2h")
    fill(writer, seconds=1)
    writer.add_record(1, bombs.regular_edges(SWITCH, 2_000_000))
    writer.close()
    for name in ("a", "b"):
        assert open_session(tmp_path / f"{name}.t2h").damage == ()
    assert asked[1] > 2_000_000
