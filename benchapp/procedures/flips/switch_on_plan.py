"""How the flips of a run are spread over the switch-ons of the transmitter.

The run itself pauses once a switch-on has its share of flips, for window and command line alike. Who then switches is
another matter: a person, or the probe by its lead "radio power" (`power_cycle`).
"""

from benchapp.records.run import RunSettings


def flips_by(settings: RunSettings, blocks: int) -> int:
    """Return how many flips a run has by the end of so many of its switch-ons; the first ones take what is over."""
    each, over = divmod(settings.flips or 0, settings.switch_ons or 1)
    return each * blocks + min(blocks, over)


def is_last(settings: RunSettings, blocks: int) -> bool:
    """Return whether so many switch-ons begun are all that were asked for."""
    return blocks >= (settings.switch_ons or 1)


def switch_on_due(settings: RunSettings, *, flips: int, blocks: int) -> bool:
    """Return whether it is time to switch the transmitter off and on: the open switch-on has its share of flips."""
    return settings.flips is not None and not is_last(settings, blocks) and flips >= flips_by(settings, blocks)
