"""Fit and play, run-out, beam, stripping, slip: pure functions."""
