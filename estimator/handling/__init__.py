"""Lifting, carrying, rigging and access of a piece.

Kernels on plain SI floats (niosh, people, sections, rigging, bending, plates) are applied to a piece of the job by
cracking, loads, gear, vacuum, access, in_use and transport. `plan_handling` combines them all. Workings are defined
next to the stage that they explain.
"""

from estimator.handling.plan import Handling, handling_workings, plan_handling
from estimator.handling.transport import Delivery, deliver, delivery_workings

__all__ = ["Delivery", "Handling", "deliver", "delivery_workings", "handling_workings", "plan_handling"]
