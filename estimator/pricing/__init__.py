"""Cost and price of a job: labor, allowances, overhead, margin, tax, and the share of each mark."""

from estimator.pricing.calendar import Calendar, plan_calendar
from estimator.pricing.labor import Labor, LaborLine, PieceWork, PourWork, labor_of
from estimator.pricing.quote import Allowance, Cost, DirectCost, Payment, allocate, price_job
from estimator.pricing.stage import Bought, JobPrice, MarkPrice, Spent, price_the_job
from estimator.pricing.versions import Standing, Versions, price_versions, side_by_side, standing_of

__all__ = [
    "Allowance",
    "Bought",
    "Calendar",
    "Cost",
    "DirectCost",
    "JobPrice",
    "Labor",
    "LaborLine",
    "MarkPrice",
    "Payment",
    "PieceWork",
    "PourWork",
    "Spent",
    "Standing",
    "Versions",
    "allocate",
    "labor_of",
    "plan_calendar",
    "price_job",
    "price_the_job",
    "price_versions",
    "side_by_side",
    "standing_of",
]
