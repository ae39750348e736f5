"""Tests of the HTML report."""
