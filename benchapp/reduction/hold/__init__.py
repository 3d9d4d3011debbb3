"""From a stick that stands still to how steady the pulse is."""
