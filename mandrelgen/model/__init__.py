"""The values that all rooms above share."""
