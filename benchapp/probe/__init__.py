"""The probe: its wire format, its clock, and the links that reach it."""
