"""Reads files back and compares them by id; never imports a writer."""
