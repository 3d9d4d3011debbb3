"""Open a capture: say which lead is which, see the lanes, make a session of it."""
