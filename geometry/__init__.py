"""Shapes in, solids out: exact measures of cast pieces, drawings and meshes.

>>> from geometry import measure, shapes
>>> round(measure(shapes.Slab(length_m=1.2, width_m=0.6, thickness_m=0.025)).volume_m3, 9)
0.018
"""

from geometry import shapes
from geometry.solid import layer_parts, measure

__all__ = ["layer_parts", "measure", "shapes"]
