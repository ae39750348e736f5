"""Rules: one file each. Metadata are data; `check` reads a context and yields findings."""
