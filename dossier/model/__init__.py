"""Frozen values whose names are the format's words. Pure: no paths, clock, network or randomness."""
