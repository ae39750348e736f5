"""Hostile input, hostile names in outputs, no network, plugins, dependencies."""
