"""Pixels: the JPEG that a page shows, derived from an original that is only ever read."""
