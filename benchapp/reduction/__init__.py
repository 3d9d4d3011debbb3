"""Pure reductions: from waveforms to figures with their uncertainty."""
