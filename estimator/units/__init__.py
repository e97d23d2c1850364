"""Workshop text to SI floats and back: a small closed grammar in front of pint.

pint alone misreads what a shop writes without a word (`3 1/2 in` becomes 1.5 in, `25.5"` a bare number, `2,5 cm`
25 cm), so the text is taken apart here, fractions are kept exact, and what the grammar does not know is refused.
Plain units and their usual quotients (lb/ft^3, ft^2/gal, W/m^2/K) go by the table of this package, because to import
pint takes longer than a whole start-up may, and a schedule brings tens of thousands of cells. Any other unit made of
known symbols (m^2*K/W) is converted, and its dimension checked, by pint. The tests hold the table against pint.

Not known on purpose: `ton` (short, long or metric?), decimal commas, thousand separators, powers of ten, signs
other than a leading minus. Gallon, quart, pint and fluid ounce are the US ones; oz is the avoirdupois ounce.
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
from estimator.units.reading import read_any, read_quantity, read_ratio
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
]
