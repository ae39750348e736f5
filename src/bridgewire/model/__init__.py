"""The data model: frozen attrs classes for kits and shows. No I/O, no numpy."""
