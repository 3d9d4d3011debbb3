"""The command line: arguments in, lines out."""
