# batch-sheets.pdf: for the mixer operator, one page per batch type.

batch-paper = Batch sheets
batch-purpose = For the mixer operator: one page per recipe, in pour order.
batch-list-pours = Pours
batch-list-batches = Batches
batch-list-within = Place within
batch-of-first-water = { $minutes } min of first water
batch-of-first-water-span = { $least } to { $most } min of first water
batch-pours = Pours
batch-sheets = Sheets
batch-head-sheet = Sheet
batch-head-pour = Pour
batch-head-mix = Mix
batch-head-batches = Batches
batch-head-volume = Volume each
batch-head-weight = Weight each
batch-head-pieces = Pieces
batch-head-earliest = Earliest date
batch-head-casts = Casts

# The title: what the mix is in the piece.
batch-role-face = FACE COAT
batch-role-backer = BACKER
batch-role-whole = FULL THICKNESS
batch-each-day = Repeat
batch-each-day-value = on each of { $days } days
batch-make = { $count ->
    [one] Make 1 batch
   *[other] Make { $count } batches
}
batch-days = { $count } days
batch-ticks = Tick each batch as it goes into the mixer
batch-ticks-density = Right box: weight of the full bucket at the density check.
batch-sheet-of = sheet { $number } of { $total }
batch-for = For { $pieces }
batch-one = One batch
batch-place = Place within (of first water)
batch-place-value = { $minutes } min
batch-placing = Placing time
batch-placing-value = { $minutes } min, { $crew }
batch-wait-after-face = Wait after face coat
batch-wait-after-layer = Wait after last layer
batch-wait-value = { $least }–{ $most } min
batch-next = Backer on within
batch-next-layer = Next layer on within
batch-next-value = { $minutes } min
batch-left-over = Leftover mix for
batch-coupons = { $count ->
    [one] 1 coupon
   *[other] { $count } coupons
}
batch-samples = { $count ->
    [one] 1 sample
   *[other] { $count } samples
}

# The load, a line a material.
load-material = load in this order
load-take = weigh for each batch
load-weighed = weighed
load-batch = batch { $number }
load-lot = lot no.
load-lot-from = from day
load-water-first = Water, first
load-water-held = Water, held back
load-as-needed = only as much as you need
load-loose = about { $volume } loose
load-beads-weigh = check { $mass }
load-reads = scale reads { $mass }
scale-floor = floor scale
scale-bench = bench scale
scale-gram = gram scale
scale-only = scale
scale-shows = { $most ->
    [none] reads { $step }
   *[other] reads { $step }, up to { $most }
}

# Protective equipment, under its pictograms.
ppe-respirator = Respirator
ppe-eyes = Eye protection
ppe-gloves = Waterproof gloves
ppe-boots = Boots
ppe-ears = Ear protection
ppe-unplug = Unplug before you reach in

# The check before placing.
check-heading = Density check, before you place it
check-says = { $measure } bucket struck level should weigh { $weight } with bucket ({ $low }–{ $high }).
check-weighed = Weighed: _________
check-how = Use a bucket whose volume you found with water. Tap the sides and strike it level. Do not vibrate. Weigh it on the { $scale }.
check-people = { $people ->
    [one] One person lifts the full bucket.
   *[other] { $people } people lift the full bucket.
}
check-indication = Rough check only. Do not correct the mix by it.
check-outside = Still outside the range? Do not place the batch. Tell the office.
check-none = No density check: this batch does not fill the smallest bucket.
steps-heading = At the mixer
cautions-heading = Cautions
cautions-elsewhere = Cautions: see sheet { $sheet }.
batch-too-small-note = Too small for the mixer. Mix it in a bucket with a drill.
batch-overshot = Over by more than { $over_share }? Take it out while dry. Once mixed in, do not place the batch.

# What to do at the mixer, where it applies to the load.
step-load-sand = Load the sand first.
step-load-beads = Add the beads by the bucket, loose and struck level. The bucket governs. Weight over { $off_share } off? Ask first.
step-load-powders = Add the cement and the other powders.
step-add-water = { $liquids ->
    [yes] Add the first water and the liquids. Mix until no dry lumps are left.
   *[no] Add the first water. Mix until no dry lumps are left.
}
step-begin-water = { $liquids ->
    [yes] Pour in the first water and the liquids.
   *[no] Pour in the first water.
}
step-stir-powders = Stir in the powder admixture and pigment.
step-add-cement = Add the cement and pozzolan. Mix until no lumps are left.
step-add-sand = Add the sand.
step-hold-back = Add only as much of the held-back water as you need. Write down what is left in the jug.
step-fiber-last = Add the fiber last. Mix it in and stop.
step-fiber-last-slow = Add the fiber last, at low speed. Mix it in and stop.

# What common practice has to say, where it applies. A shop may have its own words for each: [workshop.practice].
advice-plain_face = Face coat: no fiber, no beads, so honing won't expose any.
advice-filled_face = No face coat: honing will expose fiber and beads. Leave it as cast, or ask for a face coat.
advice-fingerprint = Start the backer when the face coat takes a fingerprint without smearing, within the time shown.
advice-face_round = Back every piece of this batch before you mix the next face batch.
advice-set_face = Never back up a face coat that has set: it will delaminate. Scrape it out and respray.
advice-passes = Max layer thickness as shown. Roll each layer into the one below.
advice-honing = Don't hone deeper than shown or you will hit fiber and beads.
advice-stiff = Keep this mix stiff, or the beads float. Hold back water rather than add it.
advice-no_vibration = Do not vibrate (no table, no pencil vibrator): the beads float. Pack and roll by hand.
advice-fluid_beads = This mix is set to be fluid and holds light beads, which will float. Make it stiffer before you pour it.
advice-likely_fluid_beads = This mix may flow, and then the beads float. Do a slump check: it must hold its shape. Use less water and plasticizer.
advice-warm_mix = Warm mix sets sooner. Cool the water, mix smaller batches and keep to the time shown.
advice-retarder = Contains retarder: longer working time, later stripping. Check the piece, not the clock, before you strip.
advice-left_over = Leftover mix: cast test coupons first, then a sample.
advice-bucket_heavy = Too heavy: not enough beads, too much sand, or lost air. Recheck the beads. Mixing longer won't fix it.
advice-bucket_light = Too light: too many beads, too much water or too much air. Stop adding water. Recheck the beads.
advice-plain_heavy = Too heavy: too little water, or lost air. Recheck the weights.
advice-plain_light = Too light: too much water or air. Stop adding water. Recheck the weights.
