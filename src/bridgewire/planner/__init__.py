"""Plans the wiring of a site: boxes, strips, cable and ways at least cost."""
