"""Start, the first page: practise, connect a probe, or open a session."""
