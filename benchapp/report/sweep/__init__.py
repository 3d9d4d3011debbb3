"""What a report holds of a sweep of the stick, beside its page."""
