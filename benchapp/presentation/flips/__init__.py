"""The words, tables and figures of flips."""
