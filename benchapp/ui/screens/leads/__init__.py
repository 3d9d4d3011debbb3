"""Leads: the live lanes."""
