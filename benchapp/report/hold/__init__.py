"""What a report holds of a hold, beside its page."""
