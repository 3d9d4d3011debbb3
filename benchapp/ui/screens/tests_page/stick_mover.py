"""Moves the practice stick while a run goes on: by the bench's own hand, or as the large stick is dragged."""

import time
from collections.abc import Callable

from benchapp.acquisition.hand_orders import HandOrders
from benchapp.acquisition.status import Status
from benchapp.presentation.live.stick_view import StickChoice
from benchapp.ui.link.driven_stick import DrivenStick
from benchapp.ui.screens.tests_page.practice_stick import PracticeStick

_MIDDLE = 120


class StickMover:
    """Told of each moment of a run; it passes on only what is new. by_hand: a person moves the stick."""

    def __init__(
        self, driven: DrivenStick, stick: PracticeStick, clock_s: Callable[[], float] = time.monotonic
    ) -> None:
        self._driven = driven
        self._stick = stick
        self._clock_s = clock_s
        self._orders = HandOrders()
        self._put: int | None = None
        self.by_hand = False

    def begin(self, chosen: StickChoice | None) -> None:
        """Take up a run that is about to start; chosen: how its stick is to go, None where none is moved."""
        self._orders, self._put = HandOrders(), None
        self.by_hand = False
        if chosen is not None and not chosen.bench and self._driven.can_move:
            self.by_hand = True
            self._stick.put(_MIDDLE if chosen.from_middle else 0)

    def follow(self, status: Status) -> None:
        """Move the practice stick as the run, or the person, wants it now."""
        run = status.run
        if run is None or run.stick is None or not self._driven.can_move:
            return
        if not self.by_hand:
            order = self._orders.next(run)
            if order is not None:
                self._driven.order(order)
            return
        if run.outcome:
            return
        self._stick.tick(self._clock_s())
        if self._stick.level != self._put:
            self._put = self._stick.level
            self._driven.put(self._put)
