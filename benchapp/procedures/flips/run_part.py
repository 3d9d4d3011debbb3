"""switch-flip as it is run."""

from benchapp.procedures.asked_settings import MOST_SWITCH_ONS
from benchapp.procedures.flips.procedure import begin
from benchapp.procedures.ground.run_part import RunPart
from benchapp.records.errors import WrongCall
from benchapp.records.run import RunSettings
from benchapp.records.run_settings import MOST_CORRECTION_MS


def _check(settings: RunSettings) -> None:
    _check_switch_ons(settings)
    _check_correction(settings)


def _check_correction(settings: RunSettings) -> None:
    correction, within = settings.correction_ms, settings.correction_within_ms
    if correction is None and within is None:
        return
    if correction is None or within is None:
        raise WrongCall("A correction needs both: how many ms are added to every latency, and to within how many.")
    if abs(correction) > MOST_CORRECTION_MS or not 0.0 <= within <= MOST_CORRECTION_MS:
        most = f"{MOST_CORRECTION_MS:g} ms"
        raise WrongCall(f"A correction is at most {most} either way, right to within 0 to {most}.")


def _check_switch_ons(settings: RunSettings) -> None:
    switch_ons = settings.switch_ons
    if switch_ons is None:
        return
    if not 1 <= switch_ons <= MOST_SWITCH_ONS:
        raise WrongCall(f"A run has 1 to {MOST_SWITCH_ONS} switch-ons; {switch_ons} were asked for.")
    if switch_ons > 1 and settings.flips is None:
        raise WrongCall("Flips are spread over the switch-ons, so a number of flips is needed with them.")
    if settings.flips is not None and settings.flips < switch_ons:
        raise WrongCall(f"Each switch-on has at least one flip: {settings.flips} flips are too few for {switch_ons}.")


PART = RunPart(begin=begin, check=_check)
