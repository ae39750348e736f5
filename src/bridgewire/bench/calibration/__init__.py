"""From bench records to what a kit and its igniters are, with honest uncertainty."""
