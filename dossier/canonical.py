"""Strict canonical JSON: the JSON Canonicalization Scheme (RFC 8785) over strings, integers, true, lists, objects.

`decode` accepts exactly the bytes that `encode` gives and refuses everything else, so that one value has one
form. Not here: floats (the format has none), files, limits on what members mean.
"""
