"""`cast-estimator quick`: a ballpark of one size, through the whole estimate, from the workshop's own rates."""

import json
import re
from dataclasses import replace
from pathlib import Path
from typing import Any

from estimator.catalog import language_of
from estimator.constants import FOOT_M
from estimator.errors import Fault, FaultError, InputError
from estimator.estimate import Estimate, estimate, price_before_tax
from estimator.intake import read_raw_job
from estimator.pricing.quote import Range, ballpark_range
from estimator.units import Units, read_quantity, units_of_length
from estimator.words import Words, words_for
from geometry.frozen import frozen
from geometry.message import message

BARE = re.compile(r"\d+(\.\d+)?|\.\d+")
BETWEEN = re.compile(r"\s*(?:x|X|×|\bby\b)\s*")
LONGEST_BARE_M, SHORTEST_BARE_M = 20 * FOOT_M, 0.15
"""Of a size without a unit: in inches at most, in millimeters at least. Beyond it the other unit is more likely."""
UNITS_OF = {"imperial": "in", "metric": "mm"}
SINK_M, SINK_RIM_M = (0.508, 0.381), 0.0762  # 20 x 15 in with 3 in round it, a choice: a ballpark knows no sink yet
FACE, BACK = "face", "backer-45"
OWN_PLACES = {"piece Q1, mix": "--mix", "piece Q1, use": "--use", "piece Q1, quantity": "--quantity"}


@frozen
class Request:
    """What was asked on the command line, as text."""

    size: str
    sinks: int
    thickness: str | None
    mix: str | None
    use: str
    quantity: int
    units: str | None
    currency: str
    catalog: Path | None

    @property
    def system(self) -> str:
        """The system of units asked for, or else that of the size as it is written."""
        if self.units is not None:
            return self.units
        named = [part for part in BETWEEN.split(self.size.strip()) if BARE.fullmatch(part) is None]
        try:
            return units_of_length(named[-1]) if named else "imperial"
        except FaultError:  # said where the size is read
            return "imperial"


def run(request: Request, *, as_json: bool) -> None:
    """Prints the ballpark. Raises InputError for what cannot be read."""
    try:
        result = ballpark(request)
    except InputError as error:
        units: Units = "metric" if request.system == "metric" else "imperial"
        words = Words(units, request.currency, language_of(units))
        raise InputError(fault.in_words(words) for fault in error.faults) from None
    between = range_of(result)
    if as_json:
        print(json.dumps(_document(result, between), indent=2, ensure_ascii=False))
        return
    for line in _lines(result, between, request):
        print(line)


def ballpark(request: Request) -> Estimate:
    """The estimate of a job of one size, its status `ballpark`. Raises InputError with every fault."""
    length_m, width_m = _size(request.size, request.system)
    shape: dict[str, Any] = {"kind": "slab", "length": _mm(length_m), "width": _mm(width_m)}
    shape["thickness"] = request.thickness or _workshop_thickness(request)
    if request.sinks:
        shape["cutouts"] = _sinks(request.sinks, length_m, width_m)
    piece: dict[str, Any] = {"mark": "Q1", "use": request.use, "quantity": request.quantity, "shape": shape}
    piece["forms"] = max(1, request.quantity)
    if request.mix is not None:
        piece["mix"] = request.mix
    else:
        piece["layers"] = [{"mix": FACE, "thickness": "1/8 in", "method": "spray"}, {"mix": BACK, "method": "hand"}]
    reading = read_raw_job({"job": _head(request), "piece": [piece]}, Path("quick"))
    if reading.faults or reading.job is None:
        raise InputError(_at_option(fault) for fault in reading.faults)
    try:
        return estimate(reading.job, ())
    except InputError as error:
        raise InputError(_at_option(fault) for fault in error.faults) from None


def range_of(result: Estimate) -> Range:
    """Price range of a ballpark, around the price with material charged as used, and what whole packs cost."""
    job, shop = result.job, result.job.workshop
    bought = price_before_tax(replace(job, price=replace(job.price, charge="packs")), like=result)
    return ballpark_range(
        result.cost.price, bought, shop.quote.ballpark_below, shop.quote.ballpark_above, job.price.minimum
    )


def _head(request: Request) -> dict[str, Any]:
    head: dict[str, Any] = {
        "name": "ballpark",
        "units": request.system,
        "currency": request.currency,
        "status": "ballpark",
    }
    if request.catalog is not None:
        head["catalog"] = str(request.catalog)
    return head


def _workshop_thickness(request: Request) -> str:
    """The workshop's usual thickness, from its catalog."""
    from estimator.intake.documents import built_in_catalog, in_units, read_toml

    units = "metric" if request.system == "metric" else "imperial"
    usual = built_in_catalog(units)["workshop"]["quote"]["ballpark_thickness"]
    if request.catalog is not None:
        own = in_units(read_toml(request.catalog), units).get("workshop", {}).get("quote", {})
        usual = own.get("ballpark_thickness", usual) if isinstance(own, dict) else usual
    return str(usual)


def _size(text: str, units: str) -> tuple[float, float]:
    """Length and width in m. Bare numbers take the unit at the end, or that of the system of units."""
    parts = BETWEEN.split(text.strip())
    if len(parts) != 2 or not all(re.search(r"\d", part) for part in parts):
        raise InputError([Fault("quick", "SIZE", message("quick-size", value=text))])
    bare = [BARE.fullmatch(part) is not None for part in parts]
    unit = UNITS_OF.get(units, "in")
    if bare == [True, False]:
        match = re.search(r"[^\d\s./-].*$", parts[1])
        unit = match[0] if match else unit
    try:
        length_m, width_m = (
            read_quantity(f"{part} {unit}" if is_bare and bare != [False, True] else part, "length")
            for part, is_bare in zip(parts, bare, strict=True)
        )
    except FaultError as error:
        raise InputError([Fault("quick", "SIZE", error.message)]) from None
    if not (length_m and width_m):
        raise InputError([Fault("quick", "SIZE", message("quick-size", value=text))])
    longest_m = max(length_m, width_m)
    if all(bare) and (longest_m > LONGEST_BARE_M if unit == "in" else longest_m < SHORTEST_BARE_M):
        problem = message("quick-unit-unlikely", value=text, length=parts[0], width=parts[1], unit=unit)
        raise InputError([Fault("quick", "SIZE", problem)])
    return length_m, width_m


def _sinks(count: int, length_m: float, width_m: float) -> list[dict[str, str]]:
    """Sinks side by side in the middle of the width. Raises InputError where they do not fit."""
    bay_m = length_m / count
    if bay_m < SINK_M[0] + 2 * SINK_RIM_M or width_m < SINK_M[1] + 2 * SINK_RIM_M:
        sizes = {"length_m": SINK_M[0], "width_m": SINK_M[1], "rim_m": SINK_RIM_M}
        raise InputError([Fault("quick", "--sink", message("quick-sink", count=count, **sizes))])
    return [
        {
            "kind": "rectangle",
            "length": _mm(SINK_M[0]),
            "width": _mm(SINK_M[1]),
            "x": _mm(bay_m * (i + 0.5) - SINK_M[0] / 2),
            "y": _mm((width_m - SINK_M[1]) / 2),
        }
        for i in range(count)
    ]


def _mm(length_m: float) -> str:
    return f"{length_m * 1000:.10g} mm"


def _at_option(fault: Fault) -> Fault:
    """The fault, placed at the option that it came from."""
    place = next((option for start, option in OWN_PLACES.items() if fault.place.startswith(start)), fault.place)
    place = place.replace("piece Q1, shape.thickness", "--thickness").replace("job, units", "--units")
    return Fault(fault.file, place.replace("job, currency", "--currency"), fault.message, words=fault.words)


def _lines(result: Estimate, between: Range, request: Request) -> list[str]:
    (piece,), job = result.pieces, result.job
    words, taken, weight = words_for(job), piece.taken, piece.weight
    quantity = taken.piece.quantity
    area_m2 = float(quantity) * taken.plan.gross_m2
    low, used, bought, high = (
        words.per_area(float(amount) / area_m2) for amount in (between.low, between.used, between.bought, between.high)
    )
    return [
        words(
            "quick-piece",
            count=quantity,
            size=words.size(taken.solid.size_m),
            sinks=request.sinks,
            plan_m2=taken.plan.gross_m2,
            mixes=[words.name(job.mixes[layer.mix]) for layer in taken.layers],
        ),
        words(
            "quick-weight",
            installed_kg=weight.installed_kg,
            by_area_kg_m2=piece.mass_per_area_kg_m2,
            high_kg=weight.lift_kg,
            crew=words.crew(piece.handling.carry.persons),
        ),
        words(
            "quick-price",
            low=words.price(between.low).removesuffix(".00"),
            high=words.price(between.high).removesuffix(".00"),
            minimum_price=job.price.minimum,
        ),
        words("quick-charge", used_price=between.used, bought_price=between.bought),
        words("quick-by-area", unit=words.area_unit, low=low, high=high, used=used, bought=bought),
        words("quick-labor", hours=f"{result.pricing.labour.hours:.1f}"),
        words("quick-budget"),
        words("example-prices"),
        words("deferral"),
    ]


def _document(result: Estimate, between: Range) -> dict[str, Any]:
    (piece,) = result.pieces
    area_m2 = piece.taken.piece.quantity * piece.taken.plan.gross_m2
    return {
        "size_m": list(piece.taken.solid.size_m),
        "quantity": piece.taken.piece.quantity,
        "face_area_m2": piece.taken.face_area_m2,
        "plan_area_m2": piece.taken.plan.gross_m2,
        "installed_kg": piece.weight.installed_kg,
        "lift_kg": piece.weight.lift_kg,
        "crew": piece.handling.carry.persons,
        "mass_per_area_kg_m2": piece.mass_per_area_kg_m2,
        "currency": result.job.currency,
        "low": float(between.low),
        "used": float(between.used),
        "bought": float(between.bought),
        "high": float(between.high),
        "low_per_area": float(between.low) / area_m2,
        "high_per_area": float(between.high) / area_m2,
        "minimum": result.job.price.minimum,
        "hours": float(result.pricing.labour.hours),
    }
