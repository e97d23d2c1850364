"""Workshop text to SI floats and back: a small closed grammar in front of pint.

pint alone misreads what a shop writes without a word (`3 1/2 in` becomes 1.5 in, `25.5"` a bare number, `2,5 cm`
25 cm), so the text is taken apart here, fractions are kept exact, and what the grammar does not know is refused.
Plain units and quotients of two of them (lb/ft^3, ft^2/gal) are converted by the table below, because importing
pint takes longer than a whole start-up may and a schedule brings tens of thousands of cells; any longer unit made
of known symbols (W/m^2/K) is converted, and its dimension checked, by pint. The tests hold the table against pint.

Not known on purpose: `ton` (short, long or metric?), decimal commas, thousand separators, powers of ten, signs
other than a leading minus. Gallon, quart, pint and fluid ounce are the US ones; oz is the avoirdupois ounce.
"""

from estimator.units.formats import (
    format_area,
    format_areal_mass,
    format_density,
    format_length,
    format_mass,
    format_pressure,
    format_temperature,
    format_volume,
)
from estimator.units.reading import read_quantity, read_ratio
from estimator.units.table import Kind, Units, UnitsError

__all__ = [
    "Kind",
    "Units",
    "UnitsError",
    "format_area",
    "format_areal_mass",
    "format_density",
    "format_length",
    "format_mass",
    "format_pressure",
    "format_temperature",
    "format_volume",
    "read_quantity",
    "read_ratio",
]
