"""The run of a hold-still test."""
