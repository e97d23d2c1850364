# What is not shown to be safe: one line each, behind the mark of its piece or the name of its gear.

doubt-access = May not fit ({ $about }). Measure on site before you load it. Never force it through.
doubt-bending-not-checked = Bending not checked for this shape. A qualified person decides.
doubt-bending-over-core = Bending not checked. The foam core carries nothing, and its location is not known. A qualified person decides.
doubt-carry-not-enough = May crack when { $about }. Not strong enough. Do not move it this way.
doubt-carry-too-young = Strength tested at { $days ->
    [one] 1 day
   *[other] { $days } days
} only. May crack if moved sooner.
doubt-carry-untested = May crack when carried. No strength test for the mix.
doubt-coupons-too-thin = May crack when carried. The mix was tested at { $thickness_m } thick only. Test coupons as thick as the piece first.
doubt-floor-over = Over the posted floor load. Do not set it there until a licensed engineer agrees.
doubt-holds-off-balance = Center of gravity is outside the piece. { $points ->
    [0] Use at least three lifting points around it, or a strongback. Each sling leg or hand counts as one.
   *[other] Lift it by all { $points } lifting points on its sheet, never by fewer.
}
doubt-insert-not-enough = Lifting inserts are not strong enough. Use more or stronger inserts.
doubt-insert-untested = No load rating on file for the lifting inserts.
doubt-over-bed = { $about }: larger than the truck bed. Use a larger truck.
doubt-over-pallet = { $about }: larger than a pallet. Use a larger skid.
doubt-over-rack = { $about }: thicker than one side of an A-frame takes. Use a crate or a wider rack.
doubt-overhang-unsupported = Overhang needs a subtop or brackets.
doubt-pads-core = No vacuum pads over a core. Use other gear.
doubt-pads-no-place = No room for the vacuum pads on this piece. Use more or smaller pads.
doubt-pads-not-enough = Cracks on vacuum pads. Not strong enough. Do not lift it this way.
doubt-pads-not-measured = Nobody measured the vacuum on this face, or how long the pads stay tight. Measure both before you lift.
doubt-pads-untested = May crack on vacuum pads. No strength test for the mix.
doubt-picks-core = No pick points. A foam core is cast in. A qualified rigger picks at solid ribs only.
doubt-picks-near-cutout = Pick point is too close to a cutout ({ $distance_m }). A qualified rigger decides.
doubt-picks-no-room = No pick points. No room clear of the cutouts. A qualified rigger decides.
doubt-picks-no-shape = No pick points for this shape. A qualified rigger decides.
doubt-picks-no-strength = No pick points. The piece would crack on slings. Move it on a pallet or in its form.
doubt-rating-missing = No load rating on file for the { $about }.
doubt-rating-over = Over the load rating of the { $about }. Do not load it. Use gear with a higher rating.
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
held-flat-fifths = carried flat, gripped a fifth in from the ends
held-edge-ends = carried on edge by the ends
held-edge-fifths = carried on edge, gripped a fifth in from the ends
held-tilted = tilted up on its long edge
held-rails = moved with its open rails unsupported

# Statements of one piece, as a list.
list = { $items }
