"""Shapes in, solids out: exact measures of cast pieces, drawings and meshes.

>>> from geometry import measure, shapes
>>> round(measure(shapes.Slab(length_m=1.2, width_m=0.6, thickness_m=0.025)).volume_m3, 9)
0.018
"""

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from geometry import shapes
    from geometry.shape import layer_parts, measure

__all__ = ["layer_parts", "measure", "shapes"]


def __getattr__(name: str) -> Any:
    """Import a public name on first use: numeric libraries take a third of a second to load, and errors need none."""
    from importlib import import_module

    if name in ("layer_parts", "measure"):
        return getattr(import_module("geometry.shape"), name)
    if name == "shapes":
        return import_module("geometry.shapes")
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__})
