"""The version of the plugin API."""

API_VERSION = 1
"""What a plugin states as ``BRIDGEWIRE_API``. Raised when plugins have to be changed."""
