"""Pen, shop and old fixtures as people write them: models, reading, messages."""
