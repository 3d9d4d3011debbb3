"""The practice bench's stick, as far as it can be moved from here."""

from collections.abc import Callable

from benchapp.acquisition.hand_orders import PLACES, Hand, HandOrder, TakeTo, lead_and_level
from benchapp.acquisition.status import Status
from benchapp.acquisition.wishes import Drive, Wish
from benchapp.records.leads import Lead, LeadKind
from benchapp.records.run import Origin

_LABELS = {lead_and_level(order)[0] for order in (Hand.LEAVE, TakeTo(place=0))}


class DrivenStick:
    """Takes the stick to places, or lets the bench's own hand move it. No probe has such leads."""

    def __init__(self, wish: Callable[[Wish], None]) -> None:
        self._wish = wish
        self._leads: dict[str, Lead] = {}
        self._far = False

    def take_status(self, status: Status | None) -> None:
        """Find the leads that move the stick; None: no bench is open."""
        practice = status is not None and status.origin is Origin.PRACTICE
        leads = status.leads if status is not None and practice else ()
        self._leads = {lead.label: lead for lead in leads if lead.kind is LeadKind.DRIVE}

    @property
    def can_move(self) -> bool:
        """Whether there is a stick to move."""
        return self._leads.keys() >= _LABELS

    def put(self, place: int) -> None:
        """Take the stick to a place, 0 to 240 parts of its travel."""
        self.order(TakeTo(place=place))

    def move_over(self) -> None:
        """Take the stick to the end that is farther away."""
        self.put(0 if self._far else PLACES)

    def order(self, order: HandOrder) -> None:
        """Pass an order on, if there is a stick to move."""
        if self.can_move:
            self._far = isinstance(order, TakeTo) and 2 * order.place > PLACES
            label, level = lead_and_level(order)
            self._wish(Drive(lead=self._leads[label].index, level=level))
