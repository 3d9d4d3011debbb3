"""Findings: what the runs say."""
