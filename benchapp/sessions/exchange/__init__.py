"""Captures in and evidence out: one pure file a format."""
