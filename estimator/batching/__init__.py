"""Pours and batches: pieces cast together, in batches sized for mixer and crew, with loading steps to the scale."""

from estimator.batching.loading import DensityCheck, Load, to_scale
from estimator.batching.placing import LayerPlacing, PiecePlacing, placing_of
from estimator.batching.plan import Batch, Batching, PourWork, plan_batches
from estimator.batching.rounds import Cast, Pour, capacity_m3, plan_pours

__all__ = [
    "Batch",
    "Batching",
    "Cast",
    "DensityCheck",
    "LayerPlacing",
    "Load",
    "PiecePlacing",
    "Pour",
    "PourWork",
    "capacity_m3",
    "placing_of",
    "plan_batches",
    "plan_pours",
    "to_scale",
]
