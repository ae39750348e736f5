"""Lets ``python -m bridgewire`` run the command line."""

from bridgewire.cli.main import entry

if __name__ == "__main__":
    entry()
