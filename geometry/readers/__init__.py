"""Readers of drawing and mesh files."""
