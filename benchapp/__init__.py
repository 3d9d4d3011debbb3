"""Thumb to Horn: times and compares model-control radio sets on the bench."""
