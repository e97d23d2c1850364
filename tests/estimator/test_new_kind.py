"""A kind of shape that no other module knows goes through every stage."""

from dataclasses import dataclass, replace

import pytest

from estimator import estimate, job_from
from geometry.plan import Path
from geometry.schedule import measure_many
from geometry.shape import Shape, layer_parts, measure, plan_view
from geometry.shapes import CircleCutout, DropEdge, EdgeProfile, Slab
from geometry.slices import Slices
from geometry.solid import Solid

ASKED = [
    name
    for name in dir(Shape)
    if not name.startswith("_") and name not in ("block", "is_plain", "plain_solid", "layers", "layers_by_distance")
]


@dataclass(frozen=True)
class Tile(Shape):
    """A square with a hole, a drop and a worked edge, which delegates to a slab."""

    side_m: float
    thickness_m: float
    hole_m: float

    @property
    def slab(self) -> Slab:
        hole = CircleCutout(self.hole_m, self.side_m / 2, self.side_m / 2)
        drop, cove = DropEdge(("front",), 0.08, 0.03), EdgeProfile(("back",), "cove", 0.006)
        return Slab(self.side_m, self.side_m, self.thickness_m, (hole,), (drop,), (cove,))


def _answer(name: str) -> object:
    if isinstance(getattr(Shape, name), property):
        return property(lambda self: getattr(self.slab, name))
    return lambda self, *given, **named: getattr(self.slab, name)(*given, **named)


for _name in ASKED:
    setattr(Tile, _name, _answer(_name))
Tile.thicker = lambda self, by_m: replace(self, thickness_m=self.thickness_m + by_m)
Tile.__abstractmethods__ = frozenset()

TILE = Tile(0.6, 0.02, 0.1)


def test_geometry_measures_and_draws_it() -> None:
    assert isinstance(measure(TILE), Solid)
    assert isinstance(TILE.slices(), Slices)
    parts = layer_parts(TILE.slab, [0.003, None])
    assert measure_many([TILE], [0.003, None]) == [(measure(TILE.slab), parts, TILE.slab.plan_area())]
    assert layer_parts(TILE, [0.003, None]) == layer_parts(TILE.slab, [0.003, None])
    assert all(isinstance(path, Path) for path in plan_view(TILE).seen)


@pytest.mark.parametrize("use", ["counter", "panel"])
def test_every_stage_treats_it_by_its_own_answers(use: str) -> None:
    job = job_from(
        {
            "job": {"name": "Tiles", "units": "metric", "currency": "EUR", "mix": "backer-45"},
            "piece": [
                {
                    "mark": "T1",
                    "quantity": 3,
                    "use": use,
                    "shape": {
                        "kind": "slab",
                        "length": "600 mm",
                        "width": "600 mm",
                        "thickness": "20 mm",
                        "cutouts": [{"kind": "circle", "diameter": "100 mm", "x": "300 mm", "y": "300 mm"}],
                        "drop_edges": [{"sides": ["front"], "height": "80 mm", "thickness": "30 mm"}],
                        "edge_profiles": [{"sides": ["back"], "kind": "cove", "size": "6 mm"}],
                    },
                }
            ],
        }
    )
    (piece,) = job.pieces
    tiled = replace(job, pieces=(replace(piece, shape=TILE),))
    assert estimate(tiled).document() == estimate(job).document()
