"""What the papers show, as values."""
