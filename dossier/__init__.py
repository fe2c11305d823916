"""The record of a restoration: compiled from a job folder, signed, and checkable by anyone."""

__version__ = "0.1.0"
