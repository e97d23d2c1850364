"""Composition of a cement, from its mill certificate."""

from typing import Annotated

from estimator.errors import FaultError
from estimator.keys import After, Key, Ratio, SpecificSurface, table
from estimator.workshop import fineness
from geometry.message import message

TOTAL_TOLERANCE = 1e-6
NEEDED = ("c3s", "c3a", "c4af", "so3")  # the heat model divides by them, or takes their logarithm
COMPOUNDS = ("c3s", "c2s", "c3a", "c4af", "so3", "free_cao", "mgo")


@table()
class CementAnalysis:
    """A cement's potential compounds as fractions of its mass, and its fineness by air permeability.

    Raises FaultError for a fraction that looks like a percentage, a sum above 1, a compound that the heat model needs
    and that is 0, and an impossible fineness.
    """

    c3s: Annotated[Ratio, Key("C3S (alite), by mass of the cement.", 0.57)]
    c2s: Annotated[Ratio, Key("C2S (belite), by mass of the cement.", 0.17)]
    c3a: Annotated[Ratio, Key("C3A (aluminate), by mass of the cement.", 0.08)]
    c4af: Annotated[Ratio, Key("C4AF (ferrite), by mass of the cement.", 0.09)]
    so3: Annotated[Ratio, Key("SO3 (sulfate), by mass of the cement.", 0.03)]
    free_cao: Annotated[Ratio, Key("Free lime, by mass of the cement.", 0.01)]
    mgo: Annotated[Ratio, Key("MgO, by mass of the cement.", 0.02)]
    blaine_m2_kg: Annotated[SpecificSurface, After(fineness), Key("Blaine fineness.", "380 m^2/kg")]

    def __post_init__(self) -> None:
        shares = {name: getattr(self, name) for name in COMPOUNDS}
        for name, share in shares.items():
            if not 0.0 <= share <= 1.0:
                raise FaultError("", message("cement-share", name=name, value=f"{share:.12g}"))
        if sum(shares.values()) > 1.0 + TOTAL_TOLERANCE:
            raise FaultError("", message("cement-sum", total=f"{sum(shares.values()):.3f}"))
        missing = [name for name in NEEDED if shares[name] <= 0.0]
        if missing:
            raise FaultError("", message("cement-compound-missing", name=missing[0], needed=NEEDED))
        if problem := fineness(self.blaine_m2_kg):
            raise FaultError("", problem)
