# `mix` and `compare` on the terminal, and their tables.

mix-water-stages = Water: { $first } first, { $later } held back.
mix-spread = Largest part of the spread: { $part } ({ $part_share }). Weigh a known volume to narrow it.

mix-list = Mixes in { $file }. Show a mix: cast-estimator mix show KEY
mix-mixes = Mixes
mix-heading = { $mix_name } · { $file }
mix-properties = Properties
mix-replaced-by = Beads replace sand { $basis }.

# How a mix is written.
mix-form = Recipe by { $form ->
    [share] share of counted dry mass
    [sand-ratio] sand to cementitious
    [masses] masses of a batch
    [mass-per-volume] mass per volume of concrete
   *[volume-parts] parts of loose volume
}

# What a ratio is of, and how an amount is measured.
ratio-of-cementitious = of cementitious
ratio-product-of-cementitious = product, of cementitious
ratio-solids-of-cementitious = solids, of cementitious
ratio-of-sand-replaced = of loose sand volume, as if all sand
ratio-of-counted-dry = of counted dry mass (dry batch weight, as if all sand)
ratio-of-total = of total mass, water and fiber included
ratio-sand-to-cementitious = to cementitious, as if all sand
ratio-w-cm = free water, of cementitious (w/cm)
ratio-w-c = free water, of cement alone (w/c)
state-as-weighed = as weighed
state-loose-volume = loose volume

# What a density rests on.
density-air = Air content
density-water = Water added, of plan
density-of-density = { $material_name }: density
density-of-packing = { $material_name }: loose over particle density
density-of-bulk-density = { $material_name }: loose bulk density
density-of-moisture = { $material_name }: moisture

mix-batch = Batch: { $counted_kg } counted dry mass, yields { $made_m3 }
mix-fresh = Fresh
mix-at-stripping = At stripping
mix-oven-dry = Oven-dry
mix-yield = Yield, of plan
mix-air-content = Air
mix-without-cement = no cement
mix-in-water = In water, fresh
mix-floats = floats
mix-sinks = sinks
mix-design-strength = { $strength }, design value
mix-design-strength-at = { $strength } at { $days } days, design value
mix-all = Total
mix-ways = Ways to replace sand (yield and weight against the all-sand mix)
mix-water-ratio-at = w/cm { $ratio }
mix-stopped = Water stopped early
mix-cementitious-content = Cementitious content
mix-cost-per = Material cost per { $unit }, { $currency }
mix-side-by-side = Mixes side by side
mix-fresh-each = Fresh, each
mix-installed = Installed
mix-lift-high = Max. lift
mix-list-price = Concrete at list price
mix-pieces-in-each = The pieces in each mix ({ $currency })

# Heads of the tables.
mix-head-likely = Likely
mix-head-low = Low
mix-head-high = High
mix-head-material = Material
mix-head-by-bucket = By bucket, loose
mix-head-by-scale = By scale
mix-head-amount = Amount
mix-head-basis = Basis
mix-head-sand = Sand out, { $sand_kg }
mix-head-beads = Beads in
mix-head-yield = Yield
mix-head-fresh = Fresh
mix-head-lighter = Lighter by
mix-head-stop-at = Water stops at
mix-head-share-of-plan = Yield, of plan
mix-head-installed = Installed
mix-head-strength = Strength
mix-head-piece = Piece
mix-head-pour = Pour
mix-head-age = Age, days
mix-head-face = Form face
mix-head-coupon-size = Span × width × depth
mix-head-first-crack = First crack
mix-head-breaking = Breaking
mix-head-mix = Mix
mix-head-sand-replaced = Sand replaced
mix-head-days = Days
mix-head-coupons = Coupons
mix-head-crack-mean = First crack, mean
mix-head-deviation = Deviation
mix-head-variation = Variation
mix-head-design = Design value
mix-head-breaking-mean = Breaking, mean
mix-head-input = Input
mix-head-moved = Moved by
mix-head-down = Down
mix-head-up = Up
mix-head-planned = Planned
mix-head-actual = Actual
mix-head-actual-planned = Actual / planned
mix-head-complete-jobs = Complete jobs
mix-head-job = Job
mix-head-cause = Cause
mix-head-count = Count
mix-head-cost = Cost
mix-head-figure = Figure
mix-head-now = Now
mix-head-next = Next
mix-head-range = Range
mix-head-jobs = Jobs
mix-head-key = Key
mix-head-air = Air
mix-head-w-cm = w/cm
mix-head-replaced = Replaced
mix-head-assumption = If this alone was wrong
mix-head-assumed = Assumed
mix-head-would-be = Would be
mix-head-deviations = Standard deviations off
mix-head-verdict = Verdict

coupon-title = { $mix_name }: coupons
coupon-face-up = up
coupon-face-down = down
coupon-not-recorded = not recorded
coupon-not-known = not known
coupon-results = Test results
compare-side-by-side = Side by side
swap-danger = { $severity }: { $text }
swap-danger-for = { $severity }, { $pieces }: { $text }
compare-swings = What moves the price of { $price } most
history-material = Material
history-activity = Activity
history-remakes = Remakes
history-next = Suggested for the next job
history-waste = waste on cast volume
history-remake-share = remakes, of direct cost
history-not-planned = not planned
history-not-complete = not complete
history-of = { $jobs } of { $total }

mix-installed-equilibrium = Installed (equilibrium)
mix-water-cementitious = w/cm
mix-water-cement = w/c
mix-first-crack = First-crack strength (limit of proportionality)
mix-untested = not tested
basis-loose-volume = bucket for bucket (loose volume)
basis-absolute-volume = by the space it fills (absolute volume)
basis-mass = { $units ->
    [imperial] pound for pound (mass)
   *[metric] kilogram for kilogram (mass)
}
solve-untested = The changed mix has not been strength-tested. Cast test coupons.
coupon-untested = { $mix_name }: no design value yet.
coupon-terms = In textbooks, first-crack strength is the limit of proportionality and breaking strength the modulus of rupture. The design value is a lower tolerance limit (95% of the material, at 95% confidence).

# Why a mix is not as light as the trade's rule of thumb says.
thumb = { $mix_name }: { $replaced_share } of the sand replaced makes it { $lighter_share } lighter. The rule of thumb (half the sand, a quarter of the weight) says { $expected_share }.
thumb-air = { $air_share } air, not { $now_share }
thumb-cementitious = { $wanted_share } cementitious, not { $now_share } (more sand to replace)
thumb-sand = looser sand, { $loose_kg_m3 }, not { $now_kg_m3 } (more beads per bucket)
thumb-no-way = Neither air, a leaner mix nor looser sand closes the gap alone.
thumb-ways = { $count ->
    [one] One change closes the gap
   *[other] Any of these closes the gap alone
}: { $ways }. Weigh a known volume before you promise it.

coupon-design-on = Design on first crack: the breaking strength of glass-fiber concrete falls toward it with age.
coupon-test = Flexural coupons, third-point bending (ASTM C947)
coupon-plot = First-crack strength over age
coupon-shortcoming = { $mix_name }, pour { $pour }, { $days ->
    [1] 1 day
   *[other] { $days } days
}: { $text }

# `mix swap`.
swap-title = { $job }: { $replaced_share } of the sand replaced. The material order covers the whole job.
swap-mix = { $mix_name }: { $bead } for { $sand }, { $basis }
swap-sand-replaced = Sand replaced
swap-range = {"  "}Low to high
swap-low-high = { $low_kg_m3 } to { $high_kg_m3 }
swap-pieces = One piece of each mark
swap-flip-high = Max. flip
swap-carry = Carry
swap-price = Price, { $currency }
swap-needed = Materials for { $needed_m3 }, waste included

# The plot of `mix compare`.
mix-plot-title = Weight vs. cost
mix-plot-pieces = all pieces
mix-plot-weight = fresh weight, { $unit } for { $of } (marks: sand replaced)
mix-plot-cost = material cost, { $unit } for { $of }

# `mix solve`.
solve-met = { $mix_name }: goal met
solve-nearest = { $mix_name }: goal not possible within these limits. The nearest is shown.
solve-solution = Solution
solve-thickness-figure = Thickness
solve-cementitious-share = Cementitious share
solve-unchanged = unchanged
solve-density = Density, { $stage }
solve-weight = Max. weight of the piece, { $stage }
solve-cost-of-piece = Concrete of the piece at list price, { $currency }
solve-limits = At the limit: { $limits }.
solve-limit = { $figure } { $value } ({ $end ->
    [low] minimum
   *[high] maximum
})
solve-goal = the weight or density allowed

# `mix calibrate`.
calibrate-test = Fresh test (ASTM C138)
calibrate-weighed = Density, weighed
calibrate-predicted = Density, predicted
calibrate-yield = Relative yield (volume made, of designed)
calibrate-air = Air (gravimetric)
calibrate-cementitious = Actual cementitious content
calibrate-explains = What explains the difference
calibrate-likely = likely
calibrate-possible = possible
calibrate-unlikely = unlikely
calibrate-choose = To correct another number, add --choose and one of: { $keys }.
calibrate-saved = { $figure } is now { $value } (saved in { $file }).
calibrate-why = Weighed { $weighed_kg_m3 }, predicted { $predicted_kg_m3 }.
calibrate-negative-air = Air is below zero. A catalog density is too low, or a mass was misread. Weigh again.
calibrate-small = Nothing corrected. A measure under { $least } is only an indication.
calibrate-within = Nothing corrected. The measure and scale alone may be off by { $error_share }.
calibrate-unexplained = Nothing corrected. No single number explains the difference.
