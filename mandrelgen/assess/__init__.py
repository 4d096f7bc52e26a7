"""How concentric, stiff, strong and fast a mandrel is, and what is wrong."""
