"""Mixes: proportions, yield and density of lightweight mixes, and the effect of changes.

Plain functions of frozen values, in SI floats. A mix is written relative to its counted dry mass; see `recipe`.
"""

from estimator.mix.faults import faults_of
from estimator.mix.fresh import MixDesign, make
from estimator.mix.recipe import Ingredient, Recipe, proportion
from estimator.mix.yields import Yield, yield_of

__all__ = [
    "Ingredient",
    "MixDesign",
    "Recipe",
    "Yield",
    "faults_of",
    "make",
    "proportion",
    "yield_of",
]
