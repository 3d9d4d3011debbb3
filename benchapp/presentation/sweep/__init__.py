"""The words, tables and figures of a sweep."""
