"""The chemistry of the trade as pure functions on floats and numpy arrays."""
