"""The run of a switch-flip test."""
