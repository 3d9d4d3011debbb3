"""What more than one reduction stands on: distributions, uncertainty, clocks, pulses of a run."""
