"""Words, numbers and figures for people: everything a Page holds."""
