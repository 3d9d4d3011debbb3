"""One function for each wish, used by the window and the command line alike."""
