"""The parts of a findings page, one a file, in the order they are read."""
