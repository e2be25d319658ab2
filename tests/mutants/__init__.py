"""Mutants of the code: one plausible slip at a time in the core, and whether a test sees it."""
