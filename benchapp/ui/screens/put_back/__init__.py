"""Put it back: the radio as it was before anyone flies it."""
