"""From a pen to its mandrels: every choice, in the order a turner makes it."""
