"""Weight: what a piece weighs from the form to its place, at its nominal, its lightest and its heaviest."""

from estimator.weight.stages import Band, Stage
from estimator.weight.weighing import Weight, drop_edge_loads, weigh
from estimator.weight.workings import weight_workings

__all__ = ["Band", "Stage", "Weight", "drop_edge_loads", "weigh", "weight_workings"]
