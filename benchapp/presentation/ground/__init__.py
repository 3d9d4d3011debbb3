"""What every page, figure and sentence is made of."""
