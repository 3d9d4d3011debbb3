"""From a moving stick to a curve, its straightness and its delay."""
