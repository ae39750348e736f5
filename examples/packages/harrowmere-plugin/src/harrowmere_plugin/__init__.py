"""A plugin for bridgewire by the invented Harrowmere Lantern Society."""
