"""What the run of any test stands on."""
