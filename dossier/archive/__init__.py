"""Finished jobs, put away as BagIt bags (RFC 8493) and found again through a catalogue made from the bags."""
