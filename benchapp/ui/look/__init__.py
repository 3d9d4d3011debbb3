"""The look: colours, letters and lengths in both themes."""
