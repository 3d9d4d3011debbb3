"""Drawings of findings as SVG, one kind a file, in the subset that browsers and Qt draw alike."""
