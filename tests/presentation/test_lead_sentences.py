"""What is said of a lead."""

import pytest

from benchapp.presentation.ground.numbers import NBSP
from benchapp.presentation.live.lead_sentences import (
    SERIAL_OUTPUT,
    STROBING,
    LeadSummary,
    Seen,
    lead_sentence,
    look_swapped,
)
from benchapp.records.leads import LeadKind


def said(seen: Seen, role: str = "output", kind: LeadKind = LeadKind.EDGE, **facts: object) -> str:
    return lead_sentence(LeadSummary(kind=kind, role=role, seen=seen, **facts)).replace(NBSP, " ")  # type: ignore[arg-type]


def test_servo_pulses_are_counted_by_the_second_and_measured() -> None:
    assert said(Seen.PULSES, rate_hz=50.0, pulse_ms=1.52) == "50 pulses a second, 1.52 ms long."
    assert said(Seen.PULSES, rate_hz=44.4444, pulse_ms=1.5) == "44.4 pulses a second, 1.50 ms long."
    assert said(Seen.PULSES, rate_hz=333.3, pulse_ms=1.5) == "333 pulses a second, 1.50 ms long."


def test_pulses_that_vary_are_given_as_a_span() -> None:
    words = said(Seen.PULSES, rate_hz=50.0, pulse_ms=1.5, shortest_ms=1.1, longest_ms=1.9)
    assert words == "50 pulses a second, 1.10 to 1.90 ms long."


def test_a_silent_lead_says_what_to_do() -> None:
    assert said(Seen.NOTHING, role="switch") == "Nothing on this lead yet. Flip the switch."
    assert "transmitter and receiver on" in said(Seen.NOTHING, role="output-2")
    assert said(Seen.NOTHING, role="horn") == "Nothing on this lead yet."


def test_a_serial_output_is_recognised_and_its_muting_said() -> None:
    assert said(Seen.SERIAL) == SERIAL_OUTPUT
    assert said(Seen.PULSES, muted=True, rate_hz=50.0).startswith(SERIAL_OUTPUT)
    assert said(Seen.STROBE, role="switch") == STROBING


def test_switches_trains_and_volts() -> None:
    assert said(Seen.CHANGES, role="switch", changes=1, high=True) == "1 change seen; now high."
    assert said(Seen.STEADY, role="switch", high=False) == "Steady, low. Flip the switch."
    assert said(Seen.TRAIN, role="module", rate_hz=44.4444, channels=8) == (
        "A pulse train of 8 channels, 44.4 times a second."
    )
    words = said(Seen.VOLTS, role="stick", kind=LeadKind.LEVEL, volts=2.314, lowest_v=0.42, highest_v=2.9)
    assert words == "2.31 V now; between 0.42 and 2.90 V."
    words = said(Seen.VOLTS, role="stick", kind=LeadKind.LEVEL, volts=0.5, lowest_v=0.498, highest_v=0.503)
    assert words == "0.50 V, steady."


@pytest.mark.parametrize("seen", list(Seen))
def test_every_summary_has_a_sentence_even_where_nothing_is_known(seen: Seen) -> None:
    sentence = said(seen)
    assert sentence.endswith((".", "?"))
    assert "None" not in sentence
    assert "nan" not in said(seen, rate_hz=float("nan"), pulse_ms=float("nan"), volts=float("nan")).lower()


def test_leads_look_swapped_only_where_the_switch_pulses_and_the_output_does_not() -> None:
    def summaries(switch: Seen, output: Seen) -> tuple[LeadSummary, LeadSummary]:
        return (
            LeadSummary(kind=LeadKind.EDGE, role="switch", seen=switch),
            LeadSummary(kind=LeadKind.EDGE, role="output", seen=output),
        )

    swapped = {(switch, output) for switch in Seen for output in Seen if look_swapped(*summaries(switch, output))}
    assert swapped == {
        (Seen.PULSES, Seen.CHANGES), (Seen.PULSES, Seen.STEADY), (Seen.TRAIN, Seen.CHANGES), (Seen.TRAIN, Seen.STEADY),
    }  # fmt: skip
    assert not look_swapped(None, summaries(Seen.PULSES, Seen.STEADY)[1])
    assert not look_swapped(summaries(Seen.PULSES, Seen.STEADY)[0], None)
