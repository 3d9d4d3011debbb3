"""Widgets shared by screens."""
