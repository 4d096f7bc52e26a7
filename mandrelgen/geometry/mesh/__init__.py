"""Meshes and closed-form volumes without the kernel."""
