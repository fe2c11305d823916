"""The trade's own reckoning: units, plating, what goes with what, values, cut sizes. Pure.

A floor of its own below `account` and `intake`, which may both use it; it knows only `model` and `words`.
"""
