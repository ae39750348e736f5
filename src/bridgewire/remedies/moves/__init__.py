"""Moves: one kind of change a file, each a function that proposes changes for a cue.

A move proposes whatever is possible on the show's kit; whether it helps is tried afterwards.
"""
