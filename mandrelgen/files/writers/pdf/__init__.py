"""PDF: the drawing replayed, the tables behind it, the cover of a set."""
