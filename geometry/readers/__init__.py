"""Readers of drawings, meshes and tables."""
