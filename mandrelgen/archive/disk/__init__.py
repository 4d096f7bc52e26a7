"""The only door to the disk: every byte that is written or read passes through here."""
