"""A plugin that cannot be imported, on purpose."""
