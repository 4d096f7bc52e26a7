"""What every room needs: errors, lengths, tolerances, clock, resources."""
