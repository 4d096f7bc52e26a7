"""Values to bytes, and bytes read back."""
