"""One file a subject of commands."""
