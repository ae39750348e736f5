"""Meter readings: what each should be, and why one that is off is off."""
