"""A show before and after trials."""
