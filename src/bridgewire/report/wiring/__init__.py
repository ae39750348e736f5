"""Drawings of a show's wiring as self-contained SVG: site plan, output trees, way circuits."""
