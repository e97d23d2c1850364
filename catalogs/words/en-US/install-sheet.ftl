# The install sheet, for the people on site.

install-title = Install sheet
install-purpose = For the install crew. All weights are maximums.
install-site = Site
install-client = Client
install-contact = Contact
install-shop = Shop
install-not-given = ____________________
install-pieces = Pieces to set
install-access = Access
install-measured = { $count ->
    [one] 1 place measured
   *[other] { $count } places measured
}
install-not-measured = NOT MEASURED
install-carry = Carry from truck
install-floor = Posted floor load
install-floor-unknown = not given, check on site
install-none = The shop sets no pieces of this job.
install-check-title = CHECK BEFORE SETTING
install-access-assumed = Access not measured. A { $width_m } × { $height_m } door is assumed. Measure before you unload.
install-floor-check = Check the cabinets and floor against the loads below. The posted floor load was not given.

# The tick table.
install-ticks = Pieces
install-order = Order
install-as-set = Order set, initials
install-piece = Piece
install-max = Max.
install-carried-by = Carried by
install-tick-names = ☐ dry fit ☐ level ☐ seams ☐ support ☐ fixed ☐ clean
install-tick-head = Done
install-job-order = Set the pieces in the order shown.
install-crew-order = Listed in job order. The order is the crew's. Write it in the last column.
install-one-of = { $mark }, { $number } of { $count }
install-all-of = { $mark }, all { $count }
install-others = Delivered, not set by the shop: { $marks }.

# What to bring.
install-bring = Bring
install-bring-tools = level, straightedge and tape
install-bring-shims = shims
install-bring-foam = foam blocks and edge protectors
install-bring-ppe = gloves, safety boots, eye protection, respirator
install-bring-counter = cabinet screws, clear silicone, color-matched seam adhesive, seam clamps
install-bring-sink = sink clips and sink silicone
install-bring-panel = torque wrench, and anchors as designed and joint sealant from others
install-bring-planter = drain fittings, leveling feet and tie-downs
install-bring-brackets = { $count ->
    [one] 1 bracket with fasteners, from others
   *[other] { $count } brackets with fasteners, from others
}
install-bring-cutting = wet saw with ground-fault protection, HEPA vacuum
install-bring-sealer = { $material_names } for touch-up
install-bring-sealer-any = sealer for touch-up

# One piece.
install-crew = Crew
install-hold = Carry position
install-picks = Pick points, and lifts that are not planned, are on the lift sheet.
install-assumed-door = Standard door assumed: { $remark }
install-seam = Seam
install-seam-places = { $places } from the { $side ->
    [front] front
    [bottom] bottom
   *[left] left
}.
install-brackets = Brackets
install-bracket-places = Under the { $overhang_m } overhang, at { $places }.
install-overhang = Overhang
install-overhang-free = { $overhang_m }, no brackets needed.
install-load = Load on cabinet or floor
install-load-carried = { $high_kg_m2 } where it bears.
install-load-foot = { $mass_kg_per_m } along its foot.
install-foot = Load on one foot
install-foot-full = Up to { $high_kg }, full of wet soil or water.
install-wind = Wind
install-wind-tips = { $pressure } on its side tips it while empty. Tie it down.
install-dead-load = For the engineer
install-in-place = { $high_kg_m2 } installed
install-drop-load = of that { $mass_kg_per_m } along the drop edge at { $sides }
install-side = { $side ->
    [front] front
    [back] back
    [left] left
   *[right] right
}
install-anchors = Anchors
install-anchor-places = { $places } from left, { $height_m } up.
install-anchors-given = As given.
install-anchors-suggested = Suggested places only.
install-on-anchor = Dead load on one anchor
install-on-anchor-max = { $high_kg } max.

# Sign-off.
install-sign-off = Sign-off
install-accepted = Client walk-through done. Pieces, seams and finish accepted except as noted. Punch list:
install-client-signs = for the client: name, date, signature
install-shop-signs = for the shop: name, date, signature
install-seam-parts = Join the parts of { $whole } at the broken lines, { $width_m } apart. Align them flush. Clamp until the adhesive cures.
