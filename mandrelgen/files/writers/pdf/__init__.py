"""PDF: the drawing, the tables behind it, the cover of a set."""
