"""How a piece is lifted, carried, hung and brought in.

Kernels of plain SI floats, one module a question (niosh, team, picks, slings, bending, access and their kin); by_hand,
by_gear, cracking, in_use, way_in and delivery put them to a piece of the job, and `plan_handling` to all of it.
"""

from estimator.handling.plan import Handling, plan_handling
from estimator.handling.transport import Delivery, deliver
from estimator.handling.workings import delivery_workings, handling_workings

__all__ = ["Delivery", "Handling", "deliver", "delivery_workings", "handling_workings", "plan_handling"]
