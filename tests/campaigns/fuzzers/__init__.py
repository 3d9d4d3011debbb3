"""What each fuzzer spoils, and what must hold all the same. Every try has a chance of its own, told by its number."""
