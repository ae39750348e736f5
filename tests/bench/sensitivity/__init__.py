"""Go/no-go statistics."""
