"""The state that each trouble with the probe leaves the link in."""

from benchapp.acquisition.status import LinkState
from benchapp.records.errors import (
    NoProbeProgram,
    NotOurProbe,
    OldProbeProgram,
    OtherProbe,
    PortBusy,
    PortNotAllowed,
)

_STATES: dict[type[BaseException], LinkState] = {
    PortBusy: LinkState.IN_USE,
    PortNotAllowed: LinkState.NOT_ALLOWED,
    NotOurProbe: LinkState.NOT_OUR_PROBE,
    NoProbeProgram: LinkState.NO_PROGRAM,
    OldProbeProgram: LinkState.OLD_PROGRAM,
    OtherProbe: LinkState.OTHER_PROBE,
}


def state_of(trouble: BaseException) -> LinkState | None:
    """Return the state a trouble leaves the link in, by the nearest class that has one; None where none has."""
    return next((_STATES[kind] for kind in type(trouble).__mro__ if kind in _STATES), None)
