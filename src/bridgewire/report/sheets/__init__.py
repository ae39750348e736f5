"""The sheets that a crew takes to the field: plain records, tables of them, HTML, PDF and CSV."""

from __future__ import annotations

NAMES = ("cut-list", "wiring", "pulses", "meter", "trial", "shopping", "labels")
"""Of all sheets, in the order in which they are needed."""
