"""The steps of `compile`."""
