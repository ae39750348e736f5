"""The command line: one module per command, imported when it is asked for."""
