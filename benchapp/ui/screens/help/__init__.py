"""Help: one page for each page of the window, read without a network."""
