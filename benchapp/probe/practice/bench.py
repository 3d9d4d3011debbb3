"""The practice bench itself: a switch or a stick, a transmitter and a receiver on one virtual time."""

import heapq
from dataclasses import dataclass
from enum import StrEnum
from random import Random

from benchapp.probe.practice import law
from benchapp.probe.practice.answers import Answers, Flip
from benchapp.probe.practice.contact import contact_edges_ns
from benchapp.probe.practice.flipper import Flipper
from benchapp.probe.practice.hand import Hand, Motion
from benchapp.probe.practice.law import SwitchOn
from benchapp.probe.practice.options import BenchOptions, Control, NewOffset
from benchapp.probe.practice.output import Arrival, Output
from benchapp.probe.practice.radios import WhenOff
from benchapp.probe.practice.stick import FLICK_NS, Stick
from benchapp.probe.practice.stick_reader import StickReader
from benchapp.probe.practice.train import ModuleLead

SETTLED_NS = 2_000_000_000
"""After another switch-on the bench leaves its switch alone this long, as somebody does who waits until all is up."""


class Line(StrEnum):
    """A wire of the bench that a lead can be clipped to."""

    SWITCH = "switch"
    MODULE = "module"
    OUTPUT = "output"


@dataclass(frozen=True, order=True, slots=True)
class Transition:
    """A change of a line, in true time since the bench was opened."""

    at_ns: int
    line: Line
    level: int


class Bench:
    """Everything that happens on the bench, in order. Instants are true ns since it was opened.

    levels      : the level of every line now
    stick       : where the stick stands, if that is what is flicked
    hand        : what moves the stick slowly; whichever control was moved last has the channel
    answers     : the flips so far and what the bench knows of them; without remember only the newest, as of the hand
    switch_ons  : every switching-on of the transmitter so far
    """

    def __init__(self, options: BenchOptions, *, remember: bool = True) -> None:
        self._options = options
        radio = options.radio
        self.now_ns = 0
        self.stick = Stick()
        self._by_stick = options.control is Control.STICK
        self.hand = Hand(
            options.habits, options.seed, options.place if options.motion is Motion.STILL else 0.0, remember=remember
        )
        self._reader = StickReader(options, self.hand.place_at)
        self._stick_leads = options.motion is not None  # until the switch is flipped
        self.answers = Answers(radio.frame_ns, remember=remember)
        self.switch_ons: list[SwitchOn] = []
        rest_us = options.pulse_us(False)
        self._output = Output(options, self.answers, rest_us)
        self._module = ModuleLead(radio, rest_us)
        self._flipper = Flipper(options, radio.frame_ns)
        self._rng = Random(f"bench {options.seed}")
        self._pending: list[tuple[int, Line, int]] = []
        self._thrown = False
        self._sent_us = rest_us
        self._on = False
        self._resume: SwitchOn | None = None
        self._next_flip_ns: int | None = None
        self._flipping = False
        self.levels = {Line.SWITCH: 0, Line.MODULE: 0, Line.OUTPUT: self._output.rest_level}
        self._come_up(self._first_switch_on())

    @property
    def stick_age_ms(self) -> float | None:
        """How old samples of the moving stick were on average when the pulse that shows them began; None before any."""
        return self._reader.mean_age_ms

    def begin_flipping(self) -> None:
        """Let the bench flip its own switch, or move its own stick, from now on, if it is set to."""
        self._flipping = True
        if self._options.motion not in (None, Motion.NONE) and not self.hand.busy:
            self.move(self._options.motion)
        if self._on:
            self._plan_flip(self.now_ns)

    def end_flipping(self) -> None:
        """Leave the switch and the stick alone from now on."""
        self._flipping = False
        self._forget_flip()
        self.hand.leave(self.now_ns)

    def move(self, motion: Motion, *, stops: int | None = None) -> None:
        """Move the stick from now on; it takes the channel."""
        self._take_channel(by_stick=True)
        if motion is Motion.NONE:
            self.hand.leave(self.now_ns)
        else:
            self.hand.begin(motion, self.now_ns, stops=stops)

    def put(self, place: float) -> None:
        """Take the stick to a place, 0 to 1, from now on; it takes the channel."""
        self._take_channel(by_stick=True)
        self.hand.put(place, self.now_ns)

    def throw(self) -> None:
        """Flip the control now: the switch at once and without bounce, the stick by a flick that begins now."""
        self._drop_switch_edges()
        at_ns = self.now_ns + (FLICK_NS // 2 if self._by_stick else 0)
        if self._by_stick:
            self.stick.forget_planned(self.now_ns)
            self.stick.flick(at_ns, not self._thrown)
        self._throw(at_ns, bounce_ns=0)

    def power(self, on: bool) -> None:
        """Switch the transmitter off or on now; each switching-on has an offset of its own, and so has each radio."""
        if on == (self._on or self._resume is not None):
            return
        if not on:
            self._on, self._resume = False, None
            self._follow()
            self._forget_flip()
            self._module.stop()
            self._output.lose(self.now_ns, silent=self._options.radio.when_off is WhenOff.SILENT)
            return
        number = len(self.switch_ons) + 1
        radio = self._options.radio
        rng = Random(f"switch-on {number} {self._options.seed} {radio.name}")
        base_ns = self.now_ns + radio.start_up_ns + int(rng.random() * radio.frame_ns)
        self._resume = law.switch_on(radio, number=number, offset=rng.random(), frame_base_ns=base_ns)

    def advance(self, to_ns: int) -> list[Transition]:
        """Return every transition after now up to and including to_ns, in order, and make that now."""
        found: list[Transition] = []
        if self._resume is not None:
            up_ns = self._resume.frame_base_ns - self._options.radio.frame_ns
            if up_ns <= to_ns:  # a frame early: no pulse of the old frames may reach into the new ones
                self._run(max(up_ns, self.now_ns), found)
                self._come_up(self._resume)
        self._run(to_ns, found)
        return found

    def settle(self) -> None:
        """Let time go on, with no further flip, until every flip has its answer or none can come."""
        self.end_flipping()
        while self.answers.waiting(self.now_ns):
            self.advance(self.now_ns + self._options.radio.frame_ns)

    def _run(self, to_ns: int, found: list[Transition]) -> None:
        while self._next_flip_ns is not None and self._next_flip_ns <= to_ns:
            flip_ns = self._next_flip_ns
            self._throw(flip_ns, bounce_ns=round(self._options.bounce_ms * 1e6))
            self._plan_flip(flip_ns)
        for at_ns, level in self._output.edges_until(to_ns):
            heapq.heappush(self._pending, (at_ns, Line.OUTPUT, level))
        for at_ns, level in self._module.edges_until(to_ns):
            heapq.heappush(self._pending, (at_ns, Line.MODULE, level))
        while self._pending and self._pending[0][0] <= to_ns:
            at_ns, line, level = heapq.heappop(self._pending)
            if self.levels[line] != level:
                self.levels[line] = level
                found.append(Transition(at_ns, line, level))
        self.now_ns = to_ns

    def _take_channel(self, *, by_stick: bool) -> None:
        """Give the channel to the stick, or to the switch."""
        self._stick_leads = by_stick
        self._follow()

    def _follow(self) -> None:
        """Let the output and the module follow the stick while it has the channel and the transmitter runs."""
        follows = self._stick_leads and self._on
        self._output.follow = self._reader.frame_us if follows else None
        self._module.follow = self._reader.scan_us if follows else None

    def _throw(self, at_ns: int, *, bounce_ns: int) -> None:
        options = self._options
        if self._stick_leads:
            self._sent_us = self._output.now_us
            self._take_channel(by_stick=False)
        self._thrown = not self._thrown
        edges = [] if self._by_stick else contact_edges_ns(int(self._thrown), at_ns, bounce_ns, self._rng)
        for edge_ns, level in edges:
            heapq.heappush(self._pending, (edge_ns, Line.SWITCH, level))
        to_us = options.pulse_us(self._thrown)
        flip = Flip(
            at_ns=at_ns,
            thrown=self._thrown,
            up=self._thrown != options.reverse,
            switch_on=len(self.switch_ons),
            dead=self._rng.random() < options.dead,
            from_us=self._sent_us,
        )
        shares = self._draw_shares()
        if self._on and not flip.dead and to_us != self._sent_us:
            self._send(flip, to_us, shares)
        self.answers.open(flip)

    def _send(self, flip: Flip, to_us: float, shares: tuple[float, ...]) -> None:
        radio = self._options.radio
        seen_ns = law.seen_ns(flip.at_ns, self.switch_ons[-1].scan_base_ns, radio)
        self._output.receive(Arrival(arrived_ns=seen_ns + radio.path_ns, to_us=to_us, shares=shares))
        flip.module_ns = self._module.change(seen_ns, to_us)
        flip.to_us = self._sent_us = to_us

    def _draw_shares(self) -> tuple[float, ...]:
        first_step, begun = self._rng.choice(self._options.radio.first_steps), self._rng.random()
        if self._options.ramp_ms > 0:
            return law.glide_shares(round(self._options.ramp_ms * 1e6), self._options.radio.frame_ns, begun)
        return law.step_shares(first_step)

    def _first_switch_on(self) -> SwitchOn:
        options, radio = self._options, self._options.radio
        offset = radio.own_offset if options.offset is None else options.offset
        if options.new_offset is not None:
            whose = f" {radio.name}" if options.new_offset is NewOffset.RADIO_AND_SEED else ""
            offset = Random(f"switch-on 1 {options.seed}{whose}").random()
        base_ns = int(self._rng.random() * radio.frame_ns) + round(options.jitter_us * 1000)
        return law.switch_on(radio, number=1, offset=offset, frame_base_ns=base_ns)

    def _come_up(self, clock: SwitchOn) -> None:
        self.switch_ons.append(clock)
        self._on, self._resume = True, None
        self._sent_us = self._options.pulse_us(self._thrown)
        self._output.begin(clock.frame_base_ns, self._sent_us)
        self._module.begin(clock.scan_base_ns, self._sent_us)
        self._reader.switched_on(clock)
        self._follow()
        if self._flipping:
            self._plan_flip(clock.frame_base_ns + SETTLED_NS)

    def _plan_flip(self, last_ns: int) -> None:
        self._next_flip_ns = self._flipper.next_ns(last_ns, self.switch_ons[-1]) if self._flipping else None
        if self._next_flip_ns is None:
            return
        if self._by_stick:
            self.stick.flick(self._next_flip_ns, not self._thrown)
            return
        for begins_ns, ends_ns in self._flipper.spikes_ns(last_ns, self._next_flip_ns):
            heapq.heappush(self._pending, (begins_ns, Line.SWITCH, int(not self._thrown)))
            heapq.heappush(self._pending, (ends_ns, Line.SWITCH, int(self._thrown)))

    def _forget_flip(self) -> None:
        if self._next_flip_ns is not None:
            self._next_flip_ns = None
            self.stick.forget_planned(self.now_ns)
            last = 0 if self.answers.last is None else self.answers.last.at_ns
            if self.now_ns > last + 20_000_000:  # spikes planned for later; a bounce under way runs out
                self._drop_switch_edges(settle=True)

    def _drop_switch_edges(self, *, settle: bool = False) -> None:
        self._pending = [entry for entry in self._pending if entry[1] is not Line.SWITCH]
        heapq.heapify(self._pending)
        if settle and self.levels[Line.SWITCH] != int(self._thrown):
            heapq.heappush(self._pending, (self.now_ns, Line.SWITCH, int(self._thrown)))
