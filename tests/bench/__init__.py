"""What the bench says: trials, readings."""
