"""Arbitrary bytes into every loader: targets, seeds, runner."""
