"""The only door to the disk."""
