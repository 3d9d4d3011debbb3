"""The window: draws Pages and lanes, sends wishes."""
