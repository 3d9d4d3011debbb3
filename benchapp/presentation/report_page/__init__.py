"""One Page of findings from the parts of its runs."""
