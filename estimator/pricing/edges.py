"""Price of a worked edge by length: the hours of its form and its finish, and its concrete."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from string import ascii_lowercase

from estimator.constants import HOUR_S
from estimator.pricing.labor import PieceWork
from estimator.takeoff import PieceTakeoff
from estimator.workings import Formula, Working
from estimator.workshop import Labor as Rates
from geometry.frozen import frozen
from geometry.message import message
from geometry.shape import WorkedEdge

EDGE = Formula(
    "((forms · (runs · edge_hours + face_m · form_hours) + face_m · finish_hours) · rate"
    " + section_m2 · concrete) · markup",
    "currency/m",
    message("source-edge-price"),
)


@frozen
class PricedEdge:
    """One worked edge of a piece.

    name              its number, and a letter if it is worked in several ways
    price_per_length  increase of the price before tax for one more meter, currency/m; None if its concrete has no
                      price, or for an edge that is only raw
    values            values of the EDGE formula
    """

    name: str
    edge: WorkedEdge
    price_per_length: float | None
    values: Mapping[str, float]


def priced_edges(
    taken: PieceTakeoff, work: PieceWork, rates: Rates, per_m3: Mapping[str, float | None], markup: float
) -> tuple[PricedEdge, ...]:
    """Worked edges of one piece with their prices by length.

    per_m3  cost of each mix, currency/m³; None if a material has no price
    markup  price of the job over its direct cost
    """
    edges = taken.piece.shape.worked_edges()
    if not edges:
        return ()
    costs = [per_m3[layer.mix] for layer in taken.layers]
    known = [layer.cast_m3 * cost for layer, cost in zip(taken.layers, costs, strict=True) if cost is not None]
    concrete = sum(known) / taken.volume_m3 if len(known) == len(costs) else None
    return tuple(
        _priced(name, edge, work, rates, concrete, markup) for name, edge in zip(_names(edges), edges, strict=True)
    )


def _names(edges: Sequence[WorkedEdge]) -> list[str]:
    """Names of edges, with a letter to distinguish several ways of working one edge: 3, 3b."""
    earlier = [sum(before.number == edge.number for before in edges[:i]) for i, edge in enumerate(edges)]
    return [f"{edge.number}{ascii_lowercase[n] if n else ''}" for edge, n in zip(edges, earlier, strict=True)]


def _priced(
    name: str, edge: WorkedEdge, work: PieceWork, rates: Rates, concrete: float | None, markup: float
) -> PricedEdge:
    values = {
        "forms": work.forms_built / work.quantity,
        "runs": float(edge.runs),
        "edge_hours": rates.form_edge_s_m / HOUR_S,
        "face_m": edge.face_m,
        "form_hours": rates.form_s_m2 / HOUR_S,
        "finish_hours": 0.0 if edge.raw else (rates.hone_s_m2 + rates.seal_s_m2) / HOUR_S,
        "rate": rates.rate,
        "section_m2": edge.section_m2,
        "concrete": concrete or 0.0,
        "markup": markup,
    }
    priced = edge.runs > 0 and (concrete is not None or not edge.section_m2)
    return PricedEdge(name, edge, float(EDGE.function(**values)) if priced else None, values)


def edge_workings(mark: str, edges: Sequence[PricedEdge], currency: str) -> Iterator[Working]:
    """Yield the workings of the prices by length of the edges of a piece."""
    for edge in edges:
        if edge.price_per_length is not None:
            working = EDGE.working(f"pieces.{mark}.edges.{edge.name}.price_per_length", **edge.values)
            yield Working(
                working.figure, working.formula, working.values, working.result, f"{currency}/m", working.source
            )
