"""From flips to a latency with its uncertainty."""
