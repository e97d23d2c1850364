# `mix` and `compare` on the terminal, and their tables.

mix-water-stages = Water: { $first } first, { $later } held back.
mix-spread = Most of the spread ({ $part_share }) comes from { $part }. Weigh a known volume to narrow it.

# How a mix is written.
mix-title = Written { $form ->
    [share] by share of counted dry mass
    [sand-ratio] by sand to cementitious
    [masses] by masses of a batch
    [mass-per-volume] by mass per volume of concrete
   *[volume-parts] by parts of loose volume
}; beads replace sand { $basis }
mix-form = Written { $form ->
    [share] by share of counted dry mass
    [sand-ratio] by sand to cementitious
    [masses] by masses of a batch
    [mass-per-volume] by mass per volume of concrete
   *[volume-parts] by parts of loose volume
}
mix-batch = Batch of { $counted_kg } counted dry mass, makes { $made_m3 }
mix-fresh = fresh
mix-at-stripping = at stripping
mix-oven-dry = oven-dry
mix-yield = volume made, of planned
mix-air-content = air
mix-without-cement = no cement
mix-in-water = in water, fresh
mix-floats = floats
mix-sinks = sinks
mix-design-strength = { $strength }, design value
mix-design-strength-at = { $strength } at { $days } days, design value
mix-all = all
mix-ways = Ways to replace sand (yield per unit of the all-sand mix)
mix-water-ratio-at = w/cm { $ratio }
mix-stopped = Water stopped early
mix-cementitious-per = cementitious per { $unit }
mix-cost-per = material cost per { $unit }, { $currency }
mix-side-by-side = Mixes side by side
mix-fresh-each = fresh, each
mix-installed = installed
mix-lift-high = lift weight, max
mix-list-price = concrete at list price
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
mix-head-share-of-plan = Volume, of plan
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

coupon-title = { $mix_name }: coupons
coupon-face-up = up
coupon-face-down = down
coupon-not-recorded = not recorded
coupon-not-known = not known
coupon-results = Test results
compare-side-by-side = Side by side
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

mix-installed-equilibrium = installed (equilibrium)
mix-water-cementitious = w/cm
mix-water-cement = w/c
mix-first-crack = first-crack strength (limit of proportionality)
mix-untested = no strength test
basis-loose-volume = bucket for bucket (loose volume)
basis-absolute-volume = by the space it fills (absolute volume)
basis-mass = pound for pound (mass)
solve-untested = The changed mix has not been strength-tested. Cast coupons of it.
coupon-untested = { $mix_name }: no strength test.
coupon-terms = Textbook terms: first-crack strength is the limit of proportionality; breaking strength is the modulus of rupture; the design value is a lower tolerance limit (95% of the material, at 95% confidence).

# Why a mix is not as light as the trade's rule of thumb says.
thumb = { $mix_name }: { $replaced_share } of the sand replaced makes it { $lighter_share } lighter. The rule of thumb (half the sand, a quarter of the weight) says { $expected_share }.
thumb-air = { $air_share } air, not { $now_share }
thumb-cementitious = a cementitious share of { $share }, not { $now } (more sand to replace)
thumb-sand = looser sand, { $density }, not { $now } (more beads per bucket)
thumb-no-way = Neither air, a leaner mix nor looser sand closes the gap alone.
thumb-ways = Any of these closes the gap alone: { $ways }. Weigh a known volume before you promise it.

coupon-design-on = Design on first crack: the breaking strength of glass-fiber concrete falls toward it with age.
coupon-test = Flexural coupons, third-point bending (ASTM C947)
