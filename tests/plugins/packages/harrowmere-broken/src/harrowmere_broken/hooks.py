"""Fails as a plugin does that was packed without one of its files."""

from pathlib import Path

BRIDGEWIRE_API = 1
TABLE = (Path(__file__).parent / "left-out.csv").read_text(encoding="utf-8")
