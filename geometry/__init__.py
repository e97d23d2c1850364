"""Shapes in, solids out: exact measures of cast pieces, drawings and meshes."""
