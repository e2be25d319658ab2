"""The quote: time, parts and fluids as a range, not a number."""
