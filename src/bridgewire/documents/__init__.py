"""Text to plain data to model: loaders for TOML, YAML and JSON, with the place of every value.

Nothing is imported here; import ``bridgewire.documents.loader`` for the loaders.
"""
