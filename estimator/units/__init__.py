"""Conversion of text with shop units to SI floats and back: a small closed grammar in front of pint.

pint alone silently misreads what a shop writes (`3 1/2 in` becomes 1.5 in, `25.5"` a bare number, `2,5 cm` 25 cm), so
the text is parsed here, fractions are kept exact, and anything outside the grammar is rejected. Plain units and their
usual quotients (lb/ft^3, ft^2/gal, W/m^2/K) are converted by the table of this package, because importing pint takes
longer than the program may take to start, and a schedule has tens of thousands of cells. Any other unit made of known
symbols (m^2*K/W) is converted by pint, which also checks its dimension. The tests compare the table with pint.

Rejected on purpose: `ton` (short, long or metric?), `mil` (a thousandth of an inch or a millimeter?), decimal commas,
thousands separators, powers of ten, and signs other than a leading minus. Gallon, quart, pint and fluid ounce are the
US ones; oz is the avoirdupois ounce. A unit of two letters or more may be in capitals, an abbreviation may have its
point, and a load may be a force or the weight that exerts it.
"""

from estimator.units.formats import (
    format_area,
    format_areal_mass,
    format_density,
    format_length,
    format_mass,
    format_percent,
    format_pressure,
    format_temperature,
    format_volume,
)
from estimator.units.reading import read_any, read_quantity, read_ratio, units_of_length
from estimator.units.table import EXAMPLES, SI_SUFFIX, Kind, Units

__all__ = [
    "EXAMPLES",
    "SI_SUFFIX",
    "Kind",
    "Units",
    "format_area",
    "format_areal_mass",
    "format_density",
    "format_length",
    "format_mass",
    "format_percent",
    "format_pressure",
    "format_temperature",
    "format_volume",
    "read_any",
    "read_quantity",
    "read_ratio",
    "units_of_length",
]
