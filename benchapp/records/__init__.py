"""Frozen nouns that every room speaks of; no computing."""
