"""Named tests as machines told the time, and the gate asked before each run."""
