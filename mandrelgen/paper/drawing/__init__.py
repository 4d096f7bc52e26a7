"""The sheet: views, dimensions, and where they stand."""
