# What is not shown to be safe: one line each, behind the mark of its piece or the name of its gear.

doubt-access = May not fit ({ $about }).
doubt-bending-not-checked = Bending not checked for this shape.
doubt-bending-over-core = Bending not checked. The foam core carries nothing, and its location is not known.
doubt-carry-not-enough = May crack when { $about }. Not strong enough.
doubt-carry-too-young = Strength tested at { $days ->
    [one] 1 day
   *[other] { $days } days
} only. May crack if moved sooner.
doubt-carry-untested = May crack when carried. No strength test for the mix.
doubt-coupons-too-thin = May crack when carried. The mix was tested at { $thickness_m } thick only.
doubt-floor-over = Over the posted floor load.
doubt-holds-off-balance = Center of gravity is outside the piece. Use at least three holds around it, or a strongback.
doubt-insert-not-enough = Lifting inserts are not strong enough. Use more or stronger inserts.
doubt-insert-untested = No load rating on file for the lifting inserts.
doubt-over-bed = { $about }: larger than the truck bed. Use a larger truck.
doubt-over-pallet = { $about }: larger than a pallet. Use a larger skid.
doubt-over-rack = { $about }: thicker than one side of an A-frame takes. Use a crate or a wider rack.
doubt-overhang-unsupported = Overhang needs a subtop or brackets.
doubt-pads-core = No vacuum pads over a core.
doubt-pads-no-place = No room for the vacuum pads on this piece. Use more or smaller pads.
doubt-pads-not-enough = Cracks on vacuum pads. Not strong enough.
doubt-pads-not-measured = Vacuum and hold time were not measured on this face.
doubt-pads-untested = May crack on vacuum pads. No strength test for the mix.
doubt-picks-core = No pick points. A foam core is cast in. A qualified rigger picks at solid ribs only.
doubt-picks-near-cutout = Pick point is too close to a cutout ({ $distance_m }).
doubt-picks-no-room = No pick points. No room clear of the cutouts. A qualified rigger decides.
doubt-picks-no-shape = No pick points for this shape. A qualified rigger decides.
doubt-picks-no-strength = No pick points. The piece would crack on slings. Cure it longer, or move it on a pallet or in its form.
doubt-rating-missing = No load rating on file for the { $about }.
doubt-rating-over = Over the load rating of the { $about }.
doubt-slings-not-enough = Cracks on { $about }. Not strong enough. Do not lift it this way.
doubt-slings-untested = May crack on { $about }. No strength test for the mix.
doubt-tips-off-support = Tips off its support under its own weight. Fasten it or support the overhang.
doubt-walls-not-checked = Planter walls not checked for this shape. Use a liner frame or a tie.
doubt-walls-not-enough = Planter walls may crack under wet soil. Use a liner frame or a tie.
doubt-walls-untested = No strength test for the mix of the planter walls. Use a liner frame or a tie.

gear = { $gear ->
    [A-frame] A-frame
    [elevator] elevator
    [forklift] forklift
    [pallet] pallet
    [sling-leg] slings
   *[truck] truck
}

# How the piece hangs, in a word or two.
rigged = { $way ->
    [own-picks] the shop's pick points
    [slings-around] slings
    [two-picks] two pick points
    [three-picks] three pick points
    [four-picks] four pick points
   *[rim] pick points on the rim
}

# How the piece is carried: "May crack when carried flat by the ends."
held-flat-ends = carried flat by the ends
held-flat-fifths = carried flat, held a fifth in from the ends
held-edge-ends = carried on edge by the ends
held-edge-fifths = carried on edge, held a fifth in from the ends
held-tilted = tilted up on its long edge
held-rails = held with its open rails hanging free

# Statements of one piece, as a list.
list = { $items }
