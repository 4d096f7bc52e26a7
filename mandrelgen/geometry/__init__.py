"""Thread surface, boundary, mesh, and the kernel."""
