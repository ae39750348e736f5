"""A plugin for an API version that is no more."""
