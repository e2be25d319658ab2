"""Filling: the mix for a target strength, the uptake of a vacuum fill, the old share of a flush."""
