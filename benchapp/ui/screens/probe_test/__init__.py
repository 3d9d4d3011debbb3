"""The page that tests a probe: its leads, and its clock."""
