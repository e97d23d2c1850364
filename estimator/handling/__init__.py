"""How a piece is lifted, carried, hung and brought in.

Kernels of plain SI floats (niosh, people, sections, rigging, bending, plates) stand below what puts them to a piece of
the job (cracking, loads, gear, vacuum, access, in_use, transport), and `plan_handling` over them all. A working stands
beside the stage that it explains.
"""

from estimator.handling.plan import Handling, handling_workings, plan_handling
from estimator.handling.transport import Delivery, deliver, delivery_workings

__all__ = ["Delivery", "Handling", "deliver", "delivery_workings", "handling_workings", "plan_handling"]
