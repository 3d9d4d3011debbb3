"""Tests: choosing and running one."""
