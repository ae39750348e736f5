"""Which trial next."""
