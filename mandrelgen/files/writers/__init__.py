"""Each format: a function from a value to bytes."""
