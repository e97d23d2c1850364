# How a piece is moved, brought in and supported: what the lift, truck and install sheets and the document say of it.

# Its moves, and the machine where no crew may.
move = { $move ->
    [strip] strip
    [flip] flip
    [tilt] tilt up
    [carry] carry
    [stairs] stairs
   *[set] set
}
machine = { $move ->
    [strip] hoist with a load cell or limiter
    [flip] flipping frame
    [carry] cart, hoist, or pallet on a forklift
    [stairs] stair climber
   *[set] hoist or lift table
}
by-machine = machine only, { $reason }
straps-or-bars = straps or carrying bars
third-guides = two carry, a third guides
above-guideline = over the manual-handling guideline, do a lift assessment first
outside-guidance = outside published guidance, level floor only, on straps or bars, walk it first
no-room-for-hands = no room for that many hands
over-person-limit = over the limit per person even with the largest crew

# How the piece is held on its way.
hold = { $hold ->
    [on-edge] on edge, { $edge ->
        [front] front
        [back] back
        [left] left
        [right] right
        [top] top
        [bottom] bottom
       *[long] long
    } edge up
    [flat] flat, face up, hands under both long edges
    [upright] upright and level, hands under the base
    [slings] { $face ->
        [up] flat, face up
       *[none] level
    }, hanging from slings, nobody under it
    [pads] flat, face up, hanging from vacuum pads with a safety chain or strap, nobody under it
   *[rigger] by machine, as a qualified rigger decides
}
hold-on-cart = On a cart or pallet, support its whole underside.

# Gear to have ready.
gear-hoist = { $hung_from ->
    [machine] forklift, excavator or telehandler
   *[crane] hoist or crane
} rated for at least { $high_kg } plus the weight of slings, spreader or frame, under a qualified rigger (heaviest load: { $stage ->
    [strip] at the strip
    [turn] at the flip
    [yard] in the carry
    [install] when set
   *[crate] in its crate
})
gear-beside-vacuum = other gear to strip and flip it, since no pads go on the raw back
gear-flipping-frame = flipping frame rated for at least { $high_kg }
gear-stairs = stair climber or stair hoist rated for the weight
gear-straps-or-bars = straps or carrying bars for the level carry, walked first
gear-strongback = strongback across the cutout, on before the strip and until the piece is set
gear-slotted-rack = slotted rack or straps, never free-standing on edge

# Where the piece is picked up.
own-picks = { $count ->
    [one] One pick point
    [2] Two pick points
    [3] Three pick points
   *[other] Four pick points
}, as the shop gave them
slings-around = Two slings around the piece, two legs each, { $from_end_m } from each end{ $ends ->
    [angled] , measured from its outermost point
   *[square] {""}
}
picks-from-ends = { $count ->
    [2] Two pick points
    [3] Three pick points
   *[other] Four pick points
}, { $from_end_m } from each end{ $ends ->
    [angled] , measured from its outermost point
   *[square] {""}
}
picks-on-rim = Four pick points on the rim

# Access: the places on the way, and how the piece gets through.
place = { $name ->
    [door] door
    [turn] turn
    [stairs] stairs
    [elevator] elevator
    [elevator-door] elevator door
    [usual-door] standard door
   *[other] { $name }
}
passes-straight = goes through straight, end first
passes-tilted = goes through end first, tilted
passes-level = goes through level
passes-on-end = goes through standing on end
passes-stairs = goes along the slope
passes-leant = goes in leaning across the car
door-too-small = too wide and too high for the opening, even tilted
turn-too-tight = too long for the turn
stairs-too-narrow = too wide for the stairs, on edge and flat
elevator-too-small = too large for the car, even leaning across it
clearance-takes-all = no room left for the hands
access-assumed = Access not measured. A standard door is assumed.
seam-offered = Suggested seam. Confirm color match, support and look with the client.
seam-no-shape = No seam is suggested for this shape. Measure on site, or cast it smaller.
seam-no-help = Too wide at any length. A seam would not help.
seam-no-place = No seam clear of the cutouts leaves parts of { $longest_m } or less.
    .fix = Move the cutout or find another access.

# What was taken where the job says nothing.
picks-suggested = Pick points are suggestions only. A qualified rigger decides.
assumed-strength-at-strip = The tested strength is assumed to be there when the form is stripped.
not-in-bending = Not counted in bending: { $what }.
bending-lean = lean of the walls
bending-drains = drain holes
bending-ribs = ribs
bending-edges = edge profiles
bending-mitres = mitered ends
bending-drop = drop at edge { $number }

# Supports.
anchor-loads = Anchor loads shown are dead load only. A licensed engineer must design the anchors and backup wall for wind and seismic.
brackets-suggested = Brackets shown are suggestions only. Have an engineer size the brackets and fasteners.

# A warning on the first screen: pieces that need more people than the shop has.
piece-moves = { $mark } ({ $moves })
warning-crew-short = { $needed } people are needed at the same time and the shop has { $people }, for { $pieces }{ $more ->
    [0] {""}
   *[other] {" "}and { $more } more
}. Hire help or use a machine.
