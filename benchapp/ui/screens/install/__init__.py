"""The page that puts the probe program on a board."""
