"""A bench without hardware that speaks the probe's own bytes."""
