"""``python -m bridgewire.cli``."""

from bridgewire.cli.main import entry

if __name__ == "__main__":
    entry()
