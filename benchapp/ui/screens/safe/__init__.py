"""Make it safe: the checklist before any run."""
