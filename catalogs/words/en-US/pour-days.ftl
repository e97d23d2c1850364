# pour-days.pdf: for the casting crew, one page per pour day.

pour-day = Day { $day }
pour-turn = { $pour }, round { $turn }
pour-run = Days { $days }
pour-turns = { $pour }, rounds { $turns }
pour-days = { $count ->
    [one] day { $days }
   *[other] days { $days }
}

pour-paper = Pour days
pour-purpose = For the casting crew: one sheet per pour day. Earliest dates.
pour-of = pour { $number } of { $total }
pour-no-date = ____________
pour-alert = FIX BEFORE YOU POUR
pour-after = { $pour } · { $date } · after casting
pour-facts-days = Pour days
pour-facts-pieces = Pieces
pour-facts-batches = Batches
pour-facts-first = First pour
pour-facts-crew = Crew
pour-facts-placing = Placing (crew)
pour-facts-mixing = Mixing
pour-facts-room = Room / mix
pour-facts-strip = Strip on
pour-days-heading = Days
pour-head-pour = Pour
pour-head-date = Date
pour-head-casts = Casts
pour-head-batches = Batches
pour-head-placing = Placing (crew)
pour-head-peak = Peak, max.
pour-head-strip-on = Strip on
pour-cast = Cast
pour-head-piece = Piece
pour-head-forms = Forms
pour-head-layers = Layers, from the form inward
pour-head-hone = Hone, max
pour-head-sheets = Batch sheets
pour-forms = { $count ->
    [one] 1 form
   *[other] { $count } forms
}
pour-batches = Batches
pour-batches-within = Batches: place each within { $minutes } min of first water
pour-head-sheet = Sheet
pour-head-mix = Mix
pour-head-volume = Volume each
pour-head-pieces = Pieces
pour-head-placing-time = Placing time
pour-head-within = Place within
pour-head-water-at = First water at
pour-head-place-by = Place by
pour-at-form = At the form
pour-in-parts = { $marks }: { $batches } batches of { $mix_name } for each piece. Place each batch before the last one stiffens.
pour-cure = Cover, strip, cure
pour-keep-covered = Cover each piece with plastic as soon as it is finished. Tuck the edges under.
pour-head-plastic = Plastic within
pour-head-blanket = Curing blanket, heat
pour-head-strip = Strip
pour-head-crew = Strip, flip crew
pour-head-wet = Wet cure
pour-who-comes = Who comes on days off to strip or to keep wet:
pour-short = { $pieces } · { $crew }, placing { $placing }, strip on { $strip }

# A layer: "Backer 7/8", by hand in 3 layers".
pour-layer = { $wait }{ $mix }, { $thickness }, { $method ->
    [spray] sprayed
    [brush] brushed
    [hand] by hand
   *[pour] poured
}{ $lifts ->
    [one] {""}
   *[other] {" "}in { $lifts } layers
}
pour-layer-wait = after { $least }–{ $most } min:{" "}
pour-layer-full = full thickness
pour-layer-rest = the rest
pour-hone-none = none
pour-date-unknown = not known
pour-date-some-by-test = { $date }, some by test
pour-peak-unknown = not known
pour-peak-some-unknown = { $peak }, some not known
pour-over-limit = over the limit

# The answers of the curing table.
pour-plastic-within = { $minutes } min
pour-plastic-now = AT ONCE
pour-blanket-yes = YES. Peak up to { $high_c }.
pour-blanket-no = NO. Peak up to { $high_c }.
pour-blanket-no-hot = NO. Could reach { $high_c }, limit { $limit_c }.
pour-blanket-no-over = NO. Would go over { $limit_c }.
pour-blanket-no-apart = NO. Core to surface could reach { $high_k }, limit { $limit_k }.
pour-blanket-unknown = Plastic only. Temperature not known.
pour-hot = Overheats: could reach { $high_c }, limit { $limit_c }.
pour-hot-over = Overheats: goes over { $limit_c }.
pour-cool-mix = COOL THE MIX to { $low_c }
pour-cast-layers = CAST IN LAYERS of { $thickness } at most, each cooled first
pour-cool-or-layers = { $mix } or { $layers }.
pour-cool-only = { $remedy }.
pour-too-hot = TOO HOT: a cool mix or layers are not enough.
pour-warm-room = WARM THE ROOM to { $room }, mix placed at { $mix }.
pour-add-heat = ADD HEAT: a warm room alone is not enough.
pour-how-to-heat = Start the heat after initial set, no sooner than { $hours } h. Raise and lower it by at most { $step } an hour. Keep the core under { $dry }, under { $wet } if the piece will be wet. Keep the piece wet.
pour-strip-early = not before { $from } h
pour-strip-from = from { $from } h
pour-strip-by = { $when }, by { $to } h
pour-strip-note = Strip on coupons, not by the clock.
pour-strip-weak = { $hours ->
    [known] If the hours pass and the coupons are still too weak, do not strip or lift.
   *[unknown] If the coupons are too weak, do not strip or lift.
} Wait and test again.
pour-strip-unknown = NOT KNOWN: by test only
pour-crew-of = { $marks }: { $crew }
pour-wet-days = { $days ->
    [one] 1 day
   *[other] { $days } days
}
pour-wet-none = no
pour-drying = Evaporation uncovered: { $rate_kg_m2_h } (limit { $limit_kg_m2_h }), up to { $lost_share } of the water in { $minutes } min. { $over ->
    [yes] Cover at once.
   *[no] OK.
}
pour-drying-unknown = Humidity not known. Evaporation was not checked.
pour-drying-none = No evaporation: the air is humid.

# Verdicts of curing, each with its deciding number.
cure-plastic = Plastic keeps the mixing water in.
cure-store = Stand stripped pieces on edge or on stickers, both faces open to the air, so they do not curl.
cure-no-blanket-hot = No curing blanket: it could reach { $high_c } (limit { $limit_c }).
cure-no-blanket-over = No curing blanket: it would go over { $limit_c }.
cure-no-blanket-apart = No curing blanket: core to surface could reach { $high_k } (limit { $limit_k }).
cure-blanket = Use the curing blanket: about { $with_share } of 28-day strength at { $hours } h, not { $without_share }. Peak up to { $high_c }.
cure-no-blanket-needed = No curing blanket needed: about { $without_share } of 28-day strength at { $hours } h without it, { $with_share } with it.
cure-falls = Falls to { $low_c } under { $cover ->
    [blanket] the curing blanket
   *[plastic] plastic
}. Keep thin sections at { $needed_c } or more until you strip. Add heat.
cure-strips-late = Not strong enough to strip within { $hours } h under { $cover ->
    [blanket] the curing blanket
   *[plastic] plastic
}. Add heat.
cure-stays-warm = Stays at { $low_c } or more under { $cover ->
    [blanket] the curing blanket
   *[plastic] plastic
}.
cure-within-limits = Stays within the limits without a curing blanket: peak up to { $high_c }.
cure-overheats-hot = Overheats even without a curing blanket: it could reach { $high_c } (limit { $limit_c }). Cool the mix or cast in layers.
cure-overheats-over = Overheats even without a curing blanket: it goes over { $limit_c }. Cool the mix or cast in layers.
cure-overheats-apart = Core to surface could reach { $high_k } even without a curing blanket (limit { $limit_k }). Cool the mix or cast in layers.
cure-dry = No wet cure needed: polymer solids { $solids_share }.
cure-wet = Wet-cure { $days ->
    [one] 1 day
   *[other] { $days } days
}: polymer solids { $solids_share } ({ $needed_share } needed to skip it). Note it on the record if you don't.
cure-not-strong = Not strong enough to strip within three days.
cure-unknown = No temperature known. Put a thermometer in a trial piece.
cure-unmodeled-cement = No temperature known for { $kind ->
    [calcium-aluminate] calcium aluminate
   *[calcium-sulfoaluminate] calcium sulfoaluminate
} cement: it heats faster than portland cement. Put a thermometer in a trial piece of full thickness.
cure-unmodeled-no-cement = No temperature known: the mix holds no cement. Put a thermometer in a trial piece.
cure-unmodeled-water = No temperature known: w/cm { $water_ratio } is outside { $least_ratio } to { $most_ratio }. Put a thermometer in a trial piece.
cure-unmodeled-density = No temperature known: dry density { $dry_kg_m3 } is outside { $lightest_kg_m3 } to { $heaviest_kg_m3 }. Put a thermometer in a trial piece.
cure-unmodeled-analysis = No temperature known: no mill certificate for { $material_names }. Put a thermometer in a trial piece of full thickness.
cure-unmodeled-thickness = No temperature known: a section of { $section_m } is outside { $thinnest_m } to { $thickest_m }. Put a thermometer in a trial piece.
pour-no-trial = Contains retarder: no strip time without a trial. Strip on coupons.
pour-weekday = { $weekday ->
    [0] Mon
    [1] Tue
    [2] Wed
    [3] Thu
    [4] Fri
    [5] Sat
   *[6] Sun
} of week { $week }
