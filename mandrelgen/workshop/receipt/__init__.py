"""What was measured, and what a mandrel is as made."""
