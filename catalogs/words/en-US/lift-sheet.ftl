# The lift sheet, and what it shares with the truck and install sheets.

lift-title = Lift sheet
lift-purpose = For the crew. All weights are maximums.
lift-pieces = Pieces
lift-heaviest-carry = Heaviest carry
lift-heaviest-flip = Heaviest flip
lift-largest-crew = Largest crew by hand
lift-only-by-machine = Only by machine
lift-some-by-machine = Some moves by machine
lift-key-symbol = { $symbol ->
    [millimeters] Dimensions in millimeters.
    [person] Each figure is one person.
    [balance] Quartered circle: center of gravity.
    [pick] Triangle: pick point.
    [pad] Two rings: vacuum pad.
    [foam] Black block: foam.
    [rail] Heavy red loop: narrow rail, with its width. Never lift by it.
    [seam] Heavy dashed: seam.
    [cross] Crossed box: bracket or anchor.
    [outermost] Lengths run from the outermost points.
   *[hidden] Dashed: hidden edge.
}
lift-every-piece = For every piece
lift-these-pieces = For the pieces named

# The list on page 1. Its lines are numbered, and each piece names the numbers that concern it.
check-title = CHECK BEFORE LIFTING
check-ratings = No load rating on file for: { $gear }. Read the rating plate, or ask the manufacturer, before you load it. We never guess a rating.
check-untested = { $pieces }: May crack. No strength test for { $mixes }. Cast six coupons from this pour and test them before you count on it in a lift.
check-untested-piece = May crack. No strength test for the mix.
check-number = Check { $number }, page 1
lifting-inserts = lifting inserts
all-pieces = All pieces

# The truck and rack table.
lift-truck = Truck and racks
lift-trip = Trip
lift-rack = Rack
lift-rack-each = Pieces on each
lift-gross = Gross weight each (with rack)
lift-straps = Straps
lift-forklift = Forklift OK?
lift-forklift-ok = { $verdict ->
    [within] yes
    [over] NO, over its rating
   *[missing] no load rating on file
}
lift-see-truck-sheet = Loading order and straps are on the truck sheet.

# One piece.
lift-quantity = { $count ->
    [one] 1 piece
   *[other] { $count } pieces, each
}
piece-use = { $use ->
    [counter] Counter
    [splash] Backsplash
    [panel] Panel
    [planter] Planter
    [basin] Basin
    [fire] Fire feature
   *[other] Piece
}
lift-max-weight = Max. weight of the piece
lift-weight-for-gear = For gear, use “Load on the gear” below.
lift-by-gear = By gear, planned here: { $stages }.
lift-by-hand = { $people ->
    [0] By hand: NO. Machine only. Checks on page 1 come first.
    [one] By hand: 1 person, after the checks on page 1.
   *[other] By hand: { $people } people, after the checks on page 1.
}
lift-stage = Stage
lift-stage-max = Max. weight
lift-stage-crew = Crew
lift-stage-each = Each
lift-stage-guideline = Guideline
lift-no-guideline = none
lift-stage-name = { $stage ->
    [strip] Strip
    [flip] Flip, with form and boards
    [carry] Carry
    [stairs] Stairs
    [set] Set
    [transport] On the truck
    [crate] In its crate
   *[soil] Full of wet soil
}
lift-stage-face = { $name }, { $face ->
    [up] face up
   *[down] face down
}
lift-not-by-hand = { $stage ->
    [transport] stays on its rack
    [crate] by gear only
   *[soil] DO NOT MOVE
}
move-by-machine = MACHINE ONLY, { $gear }
strength-flag = { $strength ->
    [enough] {""}
    [not-enough] , MAY CRACK
   *[untested] , mix not tested
}
lift-guideline-note = Guideline: share of the manual-handling guideline for the crew. Over { $limit_share }, do a lift assessment first. “None”: no guideline covers four or more people. A competent person must assess that lift first. A low share is no proof of a safe lift. A dash: nobody lifts it by hand.
lift-center = Center of gravity: { $along_m } from left, { $across_m } from { $side ->
    [bottom] bottom
   *[front] front
}. Viewed face up.
lift-mirrored = At the strip it lies face down, so left and right change places.
lift-in-form = In the form
lift-in-form-open = ☐ upright  ☐ upside down. Not known here. The shop ticks one.
lift-face = Face when carried
lift-face-open = ☐ up  ☐ down. The rigger ticks one.
lift-side = { $side ->
    [bottom] BOTTOM
   *[front] FRONT
}
lift-edge-up = THIS EDGE UP
lift-hold = Carry position
lift-tilt = Tilt up
tilt = about the { $edge ->
    [front] front
    [back] back
    [left] left
    [right] right
    [top] top
    [bottom] bottom
   *[long] long
} edge, on foam.
lift-foam-mark = foam
lift-foam = Foam blocks
lift-foam-none = No edge is straight enough to stand on. A qualified person plans the tilt.
lift-foam-places = { $places } from the { $side ->
    [front] front
    [bottom] bottom
   *[left] left
}
lift-strip-load = Strip load
lift-strip-limit = Adjust the hoist limiter or load cell to { $high_kg }. If it trips, stop and wedge again.
lift-hold-point-hands = HOLD POINT before hands lift it out
lift-let-go = Seal broken all around with air or wedges, and the piece moves freely. Stuck in the form, it takes { $high_kg }. That is for a hoist only.
lift-hold-point-hook = HOLD POINT before the hook takes weight
lift-daylight = Sides and knockouts out, daylight seen all around the piece.
lift-signed = Signed ______________________   Date and time ______________________
lift-gear = Gear
lift-picks = Pick points
lift-picks-none = None. The points given would crack the piece.
lift-pads = Vacuum pads
lift-pads-none = No place for them on this piece. Use other gear.
lift-pads-crack = None. The piece would crack on them. Use other gear.
lift-pads-places = { $count ->
    [one] 1 pad
   *[other] { $count } pads
} of { $pad_m } for { $high_kg }, the most of { $stages }, centers from left / { $side ->
    [bottom] bottom
   *[front] front
}: { $places }. Clean, dry face only. Rig a safety chain or strap. Nobody under the load.
lift-plumb = Slings plumb from a spreader.
lift-hook = Hook at least { $hook_m } above the pick points.
lift-points = { $count ->
    [3] Lift by all three points, A to C,
   *[other] Lift by all four points, A to D,
} around the center of gravity.
lift-tension = Rate each sling leg for at least { $legs }{ $over ->
    [few] {" "}(together more than the load, because two or three legs may have to carry it all)
    [slant] {" "}(together more than the load, because slanted legs pull harder)
    [both] {" "}(together more than the load, because slanted legs pull harder and two or three may have to carry it all)
   *[no] {""}
}. The load is { $high_load_kg }, the largest of { $stages }.
lift-insert-strength = Each lifting insert needs an ultimate strength of { $high_kg } or more at that age.
lift-leg = { $leg } { $high_kg }
lift-around = Edge protectors on every edge. Stops against sliding. Slings clear of openings.
lift-picks-given = Pick points are the shop's own.
lift-not-planned = Not planned here
lift-not-planned-stages = Load on the gear: { $stages } No slings or pick points are worked out. { $count ->
    [one] Do not make this lift by this sheet. A qualified rigger plans it.
   *[other] Do not make these lifts by this sheet. A qualified rigger plans each of them.
}
lift-capacity = Load on the gear
stage-name = { $stage ->
    [strip] Strip
    [turn] Flip
    [yard] Carry
    [transport] On the truck
    [install] Set
   *[crate] In its crate
}
lift-capacity-stage = { $name } { $high_kg }
lift-capacity-for = { $hung_from ->
    [even] Includes the shock of a forklift, excavator or telehandler on even ground.
    [rough] Includes the shock of a forklift, excavator or telehandler on rough ground.
   *[crane] Includes the shock of a hoist or crane.
} Choose gear by these loads, not by the weights.
lift-avoid = To avoid cracking
lift-advice = { $way ->
    [carry-on-edge] Carry it on edge.
    [strongback] Clamp a strongback across the cutout before you tilt it. Bear on foam on both sides of the cutout.
    [strongback-hung] Clamp a strongback across the cutout before you strip the form.
    [out-of-reach] The planned moves need a first-crack strength of { $strength }. Glass fiber concrete does not reach that. Do not strip, flip, carry or set this piece until a licensed engineer has planned its moves.
    [cure-longer] Cure it until its coupons show a first-crack strength of { $strength } or more. Do not move it before.
   *[narrow-rail] Brace the narrow rail at the cutout. Never lift by it.
}
lift-when = When to strip
lift-when-strip = { $when } after placing.
lift-on-edge = If it stands on edge
lift-tips = Tips over at { $degrees ->
    [0] less than 1°
   *[other] { $degrees }°
} of lean. Never leave it unsecured on edge.
