"""Every question anyone asks, answered as values and tables."""
