"""Words, pages and pictures of sets side by side."""
