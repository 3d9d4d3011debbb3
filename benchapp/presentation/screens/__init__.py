"""Words and views of the screens and of the terminal."""
