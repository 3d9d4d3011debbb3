"""The few things that can be set."""
