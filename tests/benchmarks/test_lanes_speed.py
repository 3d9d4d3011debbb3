"""Live lanes with a million edges in view, against stock plot curves in the same run."""

import time

import numpy as np
import pyqtgraph as pg
import pytest
from PySide6.QtWidgets import QApplication

from benchapp.records.leads import Board, ClockKind, Lead, LeadKind, Stretch
from benchapp.records.stream import Edges
from benchapp.ui.link.live_leads import LiveLeads
from benchapp.ui.look.theme import Theme
from benchapp.ui.widgets.lanes import Lanes

LEADS = 8
WINDOW_S = 10.0
EDGES_A_LEAD = 125_000
SIZE = (1680, 820)  # leaves 1400 x 700 for the pictures beside their words


def lead_edges(lead: int, *, count: int = EDGES_A_LEAD) -> Edges:
    spacing = int(WINDOW_S * 1e9 / count)
    jitter = np.random.default_rng(lead).integers(-spacing // 3, spacing // 3, count)
    return Edges(
        lead=lead,
        times_ns=np.arange(1, count + 1, dtype=np.int64) * spacing + jitter,
        levels=(np.arange(count) % 2).astype(np.uint8),
        flags=np.zeros(count, dtype=np.uint8),
    )


def stretch() -> Stretch:
    board = Board(
        wire_version=1,
        start_id=1,
        tick_hz=16_000_000,
        tick_bits=32,
        clock_kind=ClockKind.CRYSTAL,
        tolerance_ppm=50.0,
        serial="1",
    )
    leads = tuple(
        Lead(index=i, label=f"D{i}", kind=LeadKind.EDGE, role="output", resolution_ns=62.5) for i in range(LEADS)
    )
    return Stretch(number=1, board=board, leads=leads, origin_tick=0, origin_ns=0)


def full_lanes() -> tuple[Lanes, LiveLeads]:
    live = LiveLeads()
    live.take([stretch(), *(lead_edges(i) for i in range(LEADS))])
    lanes = Lanes(Theme(), live)
    lanes.show_roles({})
    lanes.show_window(WINDOW_S)
    lanes.resize(*SIZE)
    lanes.show()
    return lanes, live


class StockCurves:
    """What a plotting library draws when given every edge: one stepped curve a lead, new data every frame."""

    def __init__(self) -> None:
        self.plot = pg.PlotWidget()
        self.plot.setBackground("w")
        self._steps = [(lead_edges(i).times_ns / 1e9, lead_edges(i).levels[:-1] + 1.5 * i) for i in range(LEADS)]
        pen = pg.mkPen("k", width=1)
        self._curves = [self.plot.plot(x, y, stepMode="center", pen=pen) for x, y in self._steps]
        self.plot.resize(*SIZE)
        self.plot.show()

    def draw(self) -> None:
        for curve, (x, y) in zip(self._curves, self._steps, strict=True):
            curve.setData(x, y, stepMode="center")
        self.plot.viewport().update()


def frame_ms(draw) -> float:
    """Return how long one frame takes from the new data to the painted pixels."""
    start = time.perf_counter()
    draw()
    QApplication.processEvents()
    return (time.perf_counter() - start) * 1e3


@pytest.mark.benchmark(group="lanes")
def test_a_million_edges_in_view_take_8_ms_a_frame_and_a_fortieth_of_stock_curves(qtbot, benchmark):
    lanes, live = full_lanes()
    qtbot.addWidget(lanes)

    def next_frame():
        live.newest_ns += 1_000_000
        lanes.draw()

    benchmark.pedantic(frame_ms, args=(next_frame,), rounds=60, warmup_rounds=5)
    own_ms = float(np.median([frame_ms(next_frame) for _ in range(60)]))
    in_view = sum(np.count_nonzero(lead.edges.times_ns > lanes.view_range_ns()[0]) for lead in live.leads.values())
    stock = StockCurves()
    qtbot.addWidget(stock.plot)
    frame_ms(stock.draw)
    stock_ms = float(np.median([frame_ms(stock.draw) for _ in range(3)]))
    ratio = stock_ms / own_ms
    print(f"\n{in_view} edges: lanes {own_ms:.2f} ms a frame, stock curves {stock_ms:.0f} ms, ratio {ratio:.0f}")
    benchmark.extra_info.update(stock_ms=stock_ms, ratio=ratio)
    assert in_view > 980_000
    assert own_ms <= 8
    assert ratio >= 40


FRAMES_A_SECOND = 400
"""The quickest servo output there is (common practice, no source)."""


def servo_edges(lead: int) -> Edges:
    starts = np.arange(0, int(WINDOW_S * 1e9), 1_000_000_000 // FRAMES_A_SECOND, dtype=np.int64)
    ends = starts + 1_500_000 + (np.arange(starts.size) % 2) * 100_000
    times = np.column_stack((starts, ends)).ravel()
    levels = np.tile(np.array([1, 0], dtype=np.uint8), starts.size)
    return Edges(lead=lead, times_ns=times, levels=levels, flags=np.zeros(times.size, dtype=np.uint8))


def part_of(edges: Edges, from_ns: int, to_ns: int) -> Edges:
    part = slice(*np.searchsorted(edges.times_ns, (from_ns, to_ns)))
    return Edges(lead=edges.lead, times_ns=edges.times_ns[part], levels=edges.levels[part], flags=edges.flags[part])


@pytest.mark.benchmark(group="lanes")
def test_eight_lanes_of_the_quickest_servo_pulses_by_length_take_a_twentieth_of_stock_curves(qtbot, benchmark):
    live = LiveLeads()
    whole = [servo_edges(i) for i in range(LEADS)]
    newest = [9_000_000_000]
    live.take([stretch(), *(part_of(edges, 0, newest[0]) for edges in whole)])
    lanes = Lanes(Theme(), live)
    qtbot.addWidget(lanes)
    lanes.show_roles({})
    lanes.show_window(WINDOW_S)
    lanes.resize(*SIZE)
    lanes.show()
    assert all(row.trace.pulses for row in lanes.rows)

    def next_frame():
        before, newest[0] = newest[0], newest[0] + 10_000_000
        live.take([part_of(edges, before, newest[0]) for edges in whole])
        lanes.draw()

    benchmark.pedantic(frame_ms, args=(next_frame,), rounds=40, warmup_rounds=5)
    assert all(row.trace.as_lengths for row in lanes.rows)
    own_ms = float(np.median([frame_ms(next_frame) for _ in range(40)]))
    stock = StockCurves()
    qtbot.addWidget(stock.plot)
    frame_ms(stock.draw)
    stock_ms = float(np.median([frame_ms(stock.draw) for _ in range(3)]))
    print(f"\n{LEADS * 2 * FRAMES_A_SECOND * WINDOW_S:.0f} edges by length: {own_ms:.2f} ms a frame")
    # As a ratio, which a busy computer leaves alone, against a million edges drawn as stock.
    assert stock_ms / own_ms >= 20
