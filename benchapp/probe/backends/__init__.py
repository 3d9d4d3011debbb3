"""Links that touch an operating-system device."""
