"""The data threads: conductor and writer."""
