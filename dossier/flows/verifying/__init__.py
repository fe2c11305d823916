"""The steps of `verify`."""
