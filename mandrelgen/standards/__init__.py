"""Published rules as pure functions: threads, fits, reliefs, centre holes, collets, materials."""
