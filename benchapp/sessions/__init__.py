"""Session files: append-only evidence, checked on the way back in."""
