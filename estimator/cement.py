"""What a cement consists of, as its mill certifies it."""

from __future__ import annotations

from dataclasses import dataclass, fields

from estimator.errors import FaultError


@dataclass(frozen=True, slots=True)
class CementAnalysis:
    """A cement's potential compounds as fractions of its mass, and its fineness.

    c3s ... mgo    mass fractions, each 0 to 1, together at most 1
    blaine_m2_kg   fineness by air permeability, m²/kg, 200 to 800

    Raises FaultError for a fraction that looks like a percentage, a sum above 1 or an impossible fineness.
    """

    c3s: float
    c2s: float
    c3a: float
    c4af: float
    so3: float
    free_cao: float
    mgo: float
    blaine_m2_kg: float

    def __post_init__(self) -> None:
        total = 0.0
        for name in (f.name for f in fields(self) if f.name != "blaine_m2_kg"):
            value = getattr(self, name)
            if not 0.0 <= value <= 1.0:
                raise FaultError("", f"cement analysis: {name} is {value:g}; a fraction of 1 is wanted, 57 % is 0.57")
            total += value
        if total > 1.0 + 1e-6:
            raise FaultError("", f"cement analysis: the fractions add up to {total:.3f}; they cannot exceed 1")
        if min(self.c3s, self.c3a, self.c4af, self.so3) <= 0.0:
            raise FaultError("", "cement analysis: c3s, c3a, c4af and so3 must all be above 0: the model needs each")
        if not 200.0 <= self.blaine_m2_kg <= 800.0:
            raise FaultError("", f"cement analysis: Blaine fineness {self.blaine_m2_kg:g} m²/kg is outside 200 to 800")
