"""What a report holds of flips, beside its page."""
