"""Renders a Page to a file format."""
