"""The fields of what is under test and of how the radio was readied, with their labels, in the order printed."""

from collections.abc import Mapping

NOT_NOTED = "not noted"
NOTES = "notes"
"""The field of notes; printed with those made during the session."""

TOGETHER: Mapping[str, str] = {"set": "Set"}
"""What sessions of one radio set have in common: those with the same can be compared as one."""

UNDER_TEST: Mapping[str, str] = {
    "transmitter": "Transmitter",
    "transmitter_version": "Transmitter's program version",
    "module": "Module",
    "module_version": "Module's program version",
    "module_feed": "How the module is fed",
    "receiver": "Receiver",
    "receiver_version": "Receiver's program version",
    "link_mode": "Link mode",
    "packet_rate": "Packet rate",
    "telemetry": "Telemetry",
    "channel": "Channel",
    "channels": "Channels in all",
    "receiver_pin": "Receiver pin",
    "output_rate": "Output rate (ms between pulses)",
    "pulse_standard": "Pulse standard",
    "output_drives": "What the output drives",
    "stop_at": "Where “stop” is",
    "in_chain": "Second receiver, stabiliser or power box",
    "volts": "Supply (V)",
    "distance": "Distance",
    "other_sets": "Other sets on the air",
    "temperature": "Temperature",
    "minutes_on": "Minutes on",
    "servo": "Servo",
    "bound_since_fail_safe": "Bound since the fail-safe was last set?",
}

READY: Mapping[str, str] = {
    "ready_memory": "A new model memory kept for testing",
    "ready_switch": "One two-position switch drives one channel full both ways",
    "ready_not_flying": "Not the throttle, arm, hold or flight-mode switch",
    "ready_ends": "End points 100 %, trims and sub-trims at 0",
    "ready_plain": "Speed, delay, expo, rates, curves, mixes, fades and stabiliser off",
    "ready_warm": "Transmitter warmed up",
}
"""Each is answered "checked", "not possible" or "not noted"."""
