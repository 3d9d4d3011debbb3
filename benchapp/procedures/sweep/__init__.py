"""The runs of a stick-sweep, continuous and by stops."""
