"""The archive: numbers, revisions, records, events, orders; nothing published ever changes."""
