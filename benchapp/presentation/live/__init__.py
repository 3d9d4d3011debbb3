"""Words and views while something is measured."""
