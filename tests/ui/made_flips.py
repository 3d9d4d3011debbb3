"""A run of flips played by hand into a recording: what the status tells and what the leads carried are of one radio."""

from dataclasses import replace

from benchapp.procedures.flips.run_part import begin
from benchapp.records.run import RunSettings
from tests.procedures.told_bench import MS, S, ToldBench, draws, plan
from tests.ui.fake_bench import FakeRecording


def flip_times(flips: int) -> list[int]:
    """Return flips that keep step with no frame, a little more than a second apart."""
    return [1 * S + number * 1137 * MS + (number * number * 7919) % 97 * MS // 5 for number in range(flips)]


def with_flips(recording: FakeRecording, flips: int, *, wanted: int = 60, unanswered: bool = False, **changes) -> None:
    """Let a recording tell of a run with so many flips, the last without an answer if so wished."""
    times = flip_times(flips)
    bench = ToldBench(flips_ns=times[:-1] if unanswered else times, delay_ns=4 * MS)
    end_ns = times[-1] + 900 * MS
    run = begin(plan(settings=RunSettings(flips=wanted)), draws())
    for now, records in _slices(bench, times, end_ns):
        run.see(records, now)
    switch = replace(bench, flips_ns=times).switch()
    recording.feed.push(switch)
    recording.feed.push(bench.output(end_ns))
    recording.tell(run=replace(run.progress(), **changes), now_ns=end_ns, last_flip=run.progress().last_flip)


def _slices(bench, times, end_ns):
    told = replace(bench, flips_ns=times)
    output, switch = bench.output(end_ns), told.switch()
    before = 0
    for cut in range(20 * MS, end_ns + 1, 20 * MS):
        parts = []
        for edges in (output, switch):
            inside = (edges.times_ns >= before) & (edges.times_ns < cut)
            if inside.any():
                parts.append(
                    replace(
                        edges, times_ns=edges.times_ns[inside], levels=edges.levels[inside], flags=edges.flags[inside]
                    )
                )
        before = cut
        yield cut, parts
