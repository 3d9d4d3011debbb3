"""Pure numpy: from edges and samples to pulses, pulse trains and flips."""
