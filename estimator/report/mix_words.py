"""What a caster calls the figures of a mix, with the textbook's term beside it, once on a sheet."""

COUNTED_DRY = "dry batch weight, as if all sand (counted dry mass)"
FIRST_CRACK = "first-crack strength (limit of proportionality)"
BREAKING = "breaking strength (modulus of rupture)"
TO_COUNT_ON = "strength to count on (lower tolerance limit: 95 % of the material, at 95 % confidence)"
WATER_CM = "w/cm, water to cement and pozzolan"
WATER_C = "w/c, water to cement alone"
IN_PLACE = "in place (equilibrium)"
UNTESTED = "untested: not shown to be safe"
BASIS = {
    "loose-volume": "bucket for bucket (loose volume)",
    "absolute-volume": "by the space that it fills (absolute volume)",
    "mass": "pound for pound (mass)",
}
"""Ways of putting beads in the place of sand."""
