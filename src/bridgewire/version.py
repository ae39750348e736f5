"""The version of bridgewire, in a place that imports nothing."""

__version__ = "0.1.0"
