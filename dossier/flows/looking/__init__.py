"""The steps of `photographs`."""
