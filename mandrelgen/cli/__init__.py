"""The commands: read, call, print; nothing is decided here."""
