"""Answers as text, JSON and tables."""
