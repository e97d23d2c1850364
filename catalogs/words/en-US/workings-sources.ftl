# Where figures come from: standard, table, paper or practice, and what each assumes.

source-packs = Whole packages, the cheapest that cover the need
source-sum = Sum of rounded lines
source-required = Recipe as weighed, times what is batched of each mix, with waste and loss
source-charge-used = What the job uses, at the lowest list price of a package that holds no more. Leftovers go to stock.
source-charge-packs = Whole packages of this material alone, with nothing in stock: cheaper than by use, or ordered for this job
source-list-price = List price of { $pack }, quantity breaks on { $rule ->
    [incremental] the packages above each break
   *[all-units] all packages
}
source-pallets-own = Each kind of package on pallets of its own
source-gross = Packages bought and the pallets under them. Packaging itself is not counted.
source-tariffs = Tariffs: { $tariffs }
source-no-freight = No freight charges
source-rate = The shop's rate, by { $bases }{ $sheets ->
    [yes] . At least the sheets on which the cut list was laid out.
   *[no] {""}
}
source-forms-built = Casts shared evenly over the forms, each form renewed after its uses (common practice)
source-form-hardware = The shop's figure for one form. The catalog's is an example.
source-rates = The shop's rate. The catalog's rates are examples.
source-labor = The shop's rate, by { $by }. The catalog's rates are examples.
source-allowance = The shop's allowance, on the direct cost of { $marks }
source-terms-direct = Terms of the job, on direct cost
source-terms-markup = Terms of the job, a markup on cost
source-terms-margin = Terms of the job, a margin on the price
source-terms-price = Terms of the job, on the price
source-agreed = As the client accepted it
source-terms-kinds = Terms of the job. The price before tax is shared over the kinds by direct cost.
source-minimum = The least that the shop takes a job for
source-payments = Payments received, as the job lists them
source-price-shared = The price before tax, shared by direct cost. Odd cents go to the marks that lost most by rounding down.
source-edge-price = What one more meter adds: hours of its form and finish, and its concrete, at the price over direct cost of the job
source-price-area = Plan or elevation area, gross of openings
source-quantity = Counted by { $by }, all pieces of each mark
source-ship-day = The next working day after "{ $step }"{ $pour ->
    [none] {""}
   *[other] {" "}of { $pour }
}
source-lead-days = Working days from approval. Days off are those on which the shop does not work.
source-last-day = Setting on site begins on the working day after shipping

# What a rate goes by.
by-form-area = form area
by-finished-area = finished area
by-edge-length = edge length
by-seam-length = seam length
by-face-coat-area = face coat area
by-backer-area = backer area
by-large-opening = large openings
by-small-opening = small openings
by-piece = pieces
by-visit = visits
by-sample = samples
by-pour = pours
by-batch = batches
by-person = people
by-asked = amount stated in the job

source-adiabatic = Heat and degree of hydration by Schindler & Folliard, ACI Mat. J. 102(1), 2005, if no heat were lost
source-evaporation = Uno, ACI Materials Journal 95(4), 1998
source-water-lost = One open face, wet throughout, at the thinnest section
source-covered = Overnight by common practice. Strip age by the heat model with its heat taken low.
source-peak = kept: share of the rise left at the peak under the cover, by the heat model through the thickest section. Heat ±15%, since measured heat (NIST, ASTM C186) is 12 to 13% above the model.

source-bending-carry = Statics on the net cross-section at { $at_m } along the piece, weaker face down
source-bending-section = Statics on the whole net cross-section at { $at_m }, bending { $direction } the piece
source-bending-strip = At { $at_m }, bending { $direction } the piece: the moment of the row on 7.5 thicknesses on either side of each pick, at most half the plate (PCI practice, from memory). Inclined slings add V / tan α · e.
source-crack-factor = Against the tested lower limit of proportionality. At least { $factor } is required.
source-leg-share = Statics about the center of gravity. { $shares }
picks-one = One pick above the center of gravity
picks-two = Two picks, by statics
picks-three = Three picks, by statics
picks-four = Four plain legs on a rigid piece: any three that hold it may carry it alone, or two across, so each pick has the most it can get
source-leg-tension = Share over the sine of the leg's angle from horizontal, at least 30° (practice of ASME B30.9)
source-dead-load = Statics of the dead load and its eccentricity. A licensed engineer must check wind and seismic load.
source-floor-load = High-side weight on the area that bears it: the plan less openings and an overhang. The posted or designed floor load governs.
source-niosh = NIOSH 94-110: a filter for one person's share of the lift-off, not a limit. It covers neither carrying nor teams.
source-niosh-hands = NIOSH 94-110: a filter for one person's share of the lift-off, not a limit. It covers neither carrying nor teams. Hands { $from_m } to { $to_m } high and { $reach_m } out, no twist, { $lifts } a minute for { $hours } h, poor grip.
source-team = HSE L23 team rule and INDG143 guideline weight: filters that ask for an assessment, not limits
source-share = Statics about the center of gravity, heavier end and side. The shop's limit is { $low_limit_kg } a person.
source-adhesion = Adhesion by form face from trade guides (oiled steel read, timber from memory), on the faces of the form
source-load = High side of the weight and adhesion of the form, times the dynamic factor of the stage. Stripping: 1.3 flat, 1.4 with reveals or knock-outs (from memory).
source-insert = 29 CFR 1926.704: four times the greatest load intended. The tension of the leg is taken as that load.
source-crate-load = Weight in its crate times the larger dynamic factor of shop moves and of the lift on site
source-crated = High-side transport weight, and a crate by the area of the piece (the shop's figure)
source-rack-gross = High-side transport weights and the rack's own (the shop's figures)
source-tie-down = 49 CFR 393.106: working load of all tie-downs at least half of the load
source-straps = Straps over the load, each at the working load limit on its tag. Their number is by 49 CFR 393.110.
source-tips = Statics over the shorter side. A truck that brakes hard reaches 0.8 g (49 CFR 393.102, from memory).
source-vacuum = Practice of EN 13155, and of ASME B30.20 where friction holds (from memory), with the vacuum measured on this face

source-counted-dry = Counted dry mass: cementitious and sand-equivalent, as if no sand had been replaced (common practice)
source-loose-volume = Loose volume of the sand that is replaced, at the aggregate's own loose bulk density (common practice)
source-absolute-volume = Absolute-volume method, as in ACI 211.1. Absorbed water adds mass, not volume. Dry aggregate, liquids as product: { $names }
source-oven-dry = ASTM C567: dry mass with 0.2 of the cement as bound water, and { $service_kg_m3 } in service. Counting pozzolan, fiber and solids is our extension. At low w/cm the 0.2 overstates by about 2%.
source-dosed = Dosed on the cementitious (common practice)
source-dosed-total = Dosed on the total, water and fiber included (common practice)
source-dosed-solids = Solids dosed on the cementitious (common practice)
source-water = Moisture corrections as in ACI 211.1. Water in damp aggregate and liquids is not weighed again.

area-boxed = Plan area of the outer box. The mesh is too large to be projected.
source-plan-area = Area of the top or elevation, with its returns and edges, less its openings
source-solid = Geometry of the shape, { $tolerance ->
    [none] in closed form
   *[other] to { $tolerance } of itself
}, less what inserts displace
source-layers = The layers fill the piece
source-spread = Tolerances of the shop, the thickness tolerance over the thinnest section
source-boards = Form bottom on the faces of the form, flip board over the plan (common practice)
source-weight-fresh = Sum over layers of volume · fresh density
source-weight-stripped = Sealed under plastic little water is lost, so stripped weight is fresh weight
source-weight-installed = Sum over layers of volume · density, oven-dry by ASTM C567 with pozzolans, plus the moisture of service
source-lift = High side of the heaviest stage at which the bare piece is lifted, wet outdoors included
source-soaked = The greater of fresh mass and the shop's gain over oven-dry mass (from memory, no test)
source-filled = High side of the wet planter, full of wet soil (common practice)

# Assumptions on weight.
assumed-soil-box = Soil is taken to fill the box around the planter, less the concrete.
assumed-transport-weight = Transport weight is the stripped weight. Drying is not counted.
assumed-soaked = Outdoors the piece is lifted soaked, at least { $gain_share } over oven-dry.
assumed-indoors = The job does not say whether the piece stands outdoors. Its soaked weight is not counted.

# Where limits for curing come from.
limit-aci-301 = ACI 301-20
limit-aci-306 = ACI 306R
limit-aci-305 = ACI 305R-91
limit-aci-305-fume = about half, as cited beside ACI 305R-91
limit-practice = common practice
limit-practice-polymer = common practice, 5 to 6% of cementitious
limit-practice-strip = common practice, 16 to 24 h
limit-planning = a planning figure, from no standard
limit-of-shop = set by the shop, other than { $standard }
