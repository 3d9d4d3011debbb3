"""On the bench: what is under test."""
