"""What trials and meter readings say about one's own kit."""
