# The command that lists the ways to make a heavy piece liftable.

lighten-title = { $mark }: { $high_kg } as drawn, { $crew }
lighten-head-number = No.
lighten-head-people = People
lighten-head-change = Change
lighten-head-parts = Parts
lighten-head-heaviest = Heaviest
lighten-head-price = Job price
lighten-head-difference = Difference
lighten-head-guideline = Of guideline
lighten-head-strength = Strength

lighten-replaced = { $replaced_share } of the sand replaced ({ $mix_name })
lighten-thickness = { $thickness_m } thick
lighten-core = foam core, { $core_m3 }
lighten-on-site = { $parts ->
    [leg] legs glued on site
    [splash] splashes glued on site
   *[both] legs and splashes glued on site
}
lighten-seam-left = { $count ->
    [one] a seam { $places } from the left
   *[other] seams { $places } from the left
}
lighten-seam-front = { $count ->
    [one] a seam { $places } from the front
   *[other] seams { $places } from the front
}
lighten-seam-corner = { $count ->
    [one] a miter seam at the inside corner
   *[other] { $count } slanted seams
}
lighten-through = open rails beside { $count ->
    [one] the cutout, to brace
   *[other] { $count } cutouts, to brace
}
# One change on the first screen: "2 people with a seam 41 in from the left (no strength test)".
lighten-hint = { $people ->
    [one] 1 person with { $change }
   *[other] { $people } people with { $change }
}{ $strength ->
    [untested] {" "}(no strength test)
   *[enough] { "" }
}
lighten-hint-beads = { $replaced_share } of the sand replaced
lighten-hint-or = { $first }, or { $second }
lighten-strength = { $strength ->
    [enough] enough
   *[untested] not tested
}
lighten-no-guideline = none for { $people }

lighten-not-tested = May crack, not tested. Cast six coupons of the mix and test them before anybody lifts by it.
lighten-how = Write one into the job file with --piece MARK --apply NUMBER.
lighten-prices = Job prices are before tax. Guideline: what HSE L23 gives a team of this size.
lighten-applied = { $file }: { $mark } changed, option { $number }.

# Why there is no way.
lighten-light = Already light enough for { $people ->
    [one] 1 person
   *[other] { $people } people
}.
lighten-cracks = Every way cracks in a carry. Cast it thicker, or use gear.
lighten-no-plate = No lighter mix is enough for { $people ->
    [one] 1 person
   *[other] { $people } people
}. Seams are for slabs and outlines of even thickness.
lighten-zone = No seam beside the cutout helps. The part with the cutout { $from_m } to { $to_m } from the left weighs { $high_kg } or more. To allow seams through cutouts, write { $units ->
        [imperial] rail_at_seam = "3 in"
       *[metric] rail_at_seam = "75 mm"
    } in [workshop.seams].
lighten-no-passage = No part gets in by the { $places }. Find another access, or measure it again.
lighten-no-passage-whole = It does not get in by the { $places }. Find another access, or cast it in parts.
lighten-none = No mix and no seam is enough for { $people ->
    [one] 1 person
   *[other] { $people } people
}.
lighten-nothing-heavy = No piece needs a machine or more than { $people ->
    [one] 1 person
   *[other] { $people } people
}.
lighten-part = { $mark } is a part of { $whole }. Change { $whole } instead.
