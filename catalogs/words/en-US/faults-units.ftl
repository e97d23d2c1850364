# Faults of quantities, shares and figures, wherever they are entered.

# An example of what to type, in the units of the job.
in-units = { $units ->
    [imperial] { $imperial }
   *[metric] { $metric }
}

quantity-no-unit = "{ $value }" has no unit.
    .fix = Write "{ $example }".
# Each reading of a bare length with its size: 1600 in an imperial job as millimeters 63", as inches 133' 4".
quantity-no-unit-length = "{ $value }" has no unit.
    .fix = { $units ->
        [imperial] { $imperial ->
            [in] Write "{ $number } in".
            [in-mm] Write "{ $number } in" or "{ $number } mm" ({ $millimeters }).
           *[mm-in] Write "{ $number } mm" ({ $millimeters }) or "{ $number } in" ({ $inches }).
        }
       *[metric] { $metric ->
            [m-cm-mm] Write "{ $number } m" ({ $meters }), "{ $number } cm" ({ $centimeters }) or "{ $number } mm".
            [mm-cm] Write "{ $number } mm" or "{ $number } cm" ({ $centimeters }).
           *[mm] Write "{ $number } mm".
        }
    }
quantity-not-text = { $value } is not a number with its unit.
    .fix = Write "{ $example }".
quantity-not-finite = "{ $value }" is not a number.
    .fix = Write "{ $example }".
quantity-too-long = "{ $value }..." is too long for a quantity.
    .fix = Write { $most } signs or less.
quantity-empty = is empty.
    .fix = Write "{ $example }".
quantity-comma = "{ $value }" has a comma.
    .fix = Use a decimal point. Leave out thousands separators.
quantity-no-number = "{ $value }" does not start with a number.
    .fix = Write "{ $example }".
quantity-two-numbers = "{ $value }" has two numbers.
    .fix = Write one number and its unit. Join a whole number and its fraction with a hyphen, as in 3-1/2.
quantity-power = "{ $value }" has a power of ten ({ $power }).
    .fix = Write the number out, as in 1500 lb, not 1.5e3 lb.
quantity-second-unit = "{ $value }" has a second number without a unit.
    .fix = Add the unit, as in 6' 3-1/2".
quantity-second-unit-of = "{ $value }" has a second number without a unit.
    .fix = Write { $example }.
quantity-fraction = "{ $value }" has { $fraction }, which is not a proper fraction.
    .fix = Write a whole number and a fraction, as in 3-1/2.
quantity-units-joined = "{ $value }" combines two units that do not go together.
    .fix = Use one unit.
quantity-pair = "{ $value }" is not a whole number of { $large } and less than { $ratio } { $small }.
    .fix = If you mean { $total }, write "{ $total }".
quantity-below-zero = "{ $value }" is below absolute zero.
    .fix = Write "{ $example }".
quantity-negative = "{ $value }" is negative. Enter { $needed } of 0 or more.
    .fix = Write "{ $example }".
quantity-zero = "{ $value }" must be more than 0.
    .fix = Write "{ $example }".
quantity-other-kind = "{ $value }" is { $given }. Enter { $needed }.
    .fix = Write "{ $example }".
quantity-unit-odd = "{ $value }" has a unit that does not fit. Enter { $needed }.
    .fix = Write "{ $example }".
quantity-kind-unknown = "{ $value }" has a unit that is not used here.
    .fix = Use a length, a volume, a mass or a share.
quantity-percent = "{ $value }" is a share. Enter a number with a unit.
    .fix = Replace % with a unit.
quantity-ton = "{ $value }" could be short, long or metric tons.
    .fix = { $units ->
        [imperial] Write pounds, such as "2000 lb".
       *[metric] Write "1 t" for 1,000 kg.
    }
quantity-mil = "{ $value }" could be thousandths of an inch or millimeters.
    .fix = { $units ->
        [imperial] For thousandths, write "0.02 in".
       *[metric] Write "mm", or "0.02 in" for 20 thousandths.
    }
quantity-packs = "{ $value }" counts packs.
    .fix = { $units ->
        [imperial] Enter what they hold, such as "188 lb".
       *[metric] Enter what they hold, such as "50 kg".
    }
quantity-unit-near = "{ $value }" has an unknown unit, "{ $unit }".
    .fix = Did you mean "{ $near }"?
quantity-unit-not-known = "{ $value }" has an unknown unit, "{ $unit }". Enter { $needed }.
    .fix = Write "{ $example }".
quantity-unit-unknown = "{ $value }" has an unknown unit, "{ $unit }".
    .fix = { $units ->
        [imperial] Use a unit such as in, ft, lb, gal, ft^3, h.
       *[metric] Use a unit such as mm, m, kg, L, m^3, h.
    }

share-unreadable = { $value } is not a share.
    .fix = Write 0.07 or "7%".
share-comma = { $value } has a comma.
    .fix = Write 0.07, with a decimal point.
share-negative = { $value } is negative. A share is 0 to 1.
    .fix = Write 0.07 or "7%".
share-above-100 = { $value } is above 100%. A share is at most 100%.
    .fix = Write 0.07 or "7%".
share-above-one = { $value } is above 1. A share is 0 to 1.
    .fix = For { $percent_share }, write { $share }.

# Kinds of quantity, as a fault names what it needs.
kind-length = a length
kind-area = an area
kind-volume = a volume
kind-mass = a mass
kind-time = a time
kind-temperature = a temperature
kind-temperature-difference = a temperature difference
kind-angle = an angle
kind-force = a force
kind-energy = an energy
kind-density = a density
kind-areal-mass = a mass per area
kind-mass-per-length = a mass per length
kind-coverage = a coverage
kind-volume-per-mass = a volume per mass
kind-time-per-area = a time per area
kind-time-per-length = a time per length
kind-area-per-time = an area per time
kind-frequency = a frequency
kind-speed = a speed
kind-pressure = a pressure
kind-power = a power
kind-thermal-resistance = a thermal resistance
kind-thermal-conductivity = a thermal conductivity
kind-heat-transfer = a heat transfer coefficient
kind-heat-capacity = a heat capacity per volume
kind-specific-energy = an energy per mass
kind-molar-energy = an energy per mole
kind-evaporation = an evaporation rate
kind-specific-surface = a specific surface
kind-amount = an amount of substance

# A figure within another message.
figure-length = { $value_m }
figure-area = { $value_m2 }
figure-volume = { $value_m3 }
figure-mass = { $value_kg }
figure-areal-mass = { $value_kg_m2 }
figure-density = { $value_kg_m3 }
figure-pressure = { $value_pa }
figure-temperature = { $value_c }
figure-time = { $value_s }

figure-not-finite = { $name } is not a finite number.
    .fix = Enter a finite number.
figure-not-positive = { $name } is { $value }.
    .fix = It must be more than 0.
figure-negative = { $name } is { $value }.
    .fix = It can't be negative.
figure-outside = { $name } is { $value }.
    .fix = It must be { $least } to { $most }.
choice-missing = { $name } is missing.
    .fix = Choose one of { $choices }.
choice-unknown = { $name } "{ $value }" is unknown.
    .fix = Choose one of { $choices }.

# Quantities, as the faults above name them.
quantity-a-pick-or-the-center-of-gravity = A pick or the center of gravity
quantity-absorption = Absorption
quantity-adhesion = Adhesion
quantity-allowed-overhang = Allowed overhang
quantity-anchor = Anchor
quantity-anchor-height = Height of the anchors
quantity-area-of-the-cross-section = Area of the cross-section
quantity-asymmetry-angle-a = Asymmetry angle A
quantity-base-of-the-stack = Base of the stack
quantity-capacity-of-one-pad = Capacity of one pad
quantity-carried-length = Carried length
quantity-cast-mass = Cast mass
quantity-center-of-gravity-across-the-piece = Center of gravity across the piece
quantity-center-of-gravity-along-the-carried-length = Center of gravity along the carried length
quantity-center-of-gravity-along-the-panel = Center of gravity along the panel
quantity-center-of-gravity-behind-the-supports-edge = Center of gravity behind the support's edge
quantity-clearance = Clearance
quantity-coupling = Coupling
quantity-coupon-depth = Depth of the coupon
quantity-coupon-load = Load on the coupon
quantity-coupon-span = Span of the coupon
quantity-coupon-width = Width of the coupon
quantity-density = Density
quantity-density-at-the-least-air = Density at the least air
quantity-density-at-the-most-air = Density at the most air
quantity-density-tolerance = Density tolerance
quantity-depth = Depth
quantity-depth-of-the-piece-w = Depth of the piece W
quantity-distance-of-the-center-of-gravity-from-the-bearing = Distance of the center of gravity from the bearing
quantity-duration = Duration
quantity-edge-distance = Edge distance
quantity-edge-that-can-be-held = Edge that can be held
quantity-first-crack-strength = First-crack strength
quantity-foot = Foot
quantity-form-area = Form area
quantity-frequency-multiplier = Frequency multiplier
quantity-grip-spacing = Grip spacing
quantity-hand-height = Hand height
quantity-hand-height-v = Hand height V
quantity-height = Height
quantity-height-of-the-center-of-gravity = Height of the center of gravity
quantity-height-of-the-center-of-gravity-over-the-hands = Height of the center of gravity over the hands
quantity-height-of-the-hook-above-the-picks = Height of the hook above the picks
quantity-horizontal-reach-h = Horizontal reach H
quantity-length = Length
quantity-length-of-the-article = Length of the article
quantity-lever-between-anchors-and-foot = Lever between anchors and foot
quantity-lifter = Lifter
quantity-lifting-frequency-f = Lifting frequency F
quantity-lifts-per-minute = Lifts per minute
quantity-limit-per-person = Limit per person
quantity-load = Load
quantity-load-center = Load center
quantity-load-on-the-insert = Load on the insert
quantity-longest-part = Longest part
quantity-margin = Margin
quantity-mass-of-inserts = Mass of inserts
quantity-offset-of-the-center-of-gravity = Offset of the center of gravity
quantity-overhang = Overhang
quantity-pad-diameter = Pad diameter
quantity-pitch = Pitch
quantity-pitch-of-the-stairs = Pitch of the stairs
quantity-point-load = Point load
quantity-rated-capacity = Rated capacity
quantity-rated-load-center = Rated load center
quantity-reach = Reach
quantity-recommended-weight = Recommended weight
quantity-required-factor-against-cracking = Required factor against cracking
quantity-share-of-the-heavier-side = Share of the heavier side
quantity-share-of-the-leg = Share of the leg
quantity-side = Side
quantity-size-of-the-piece = Size of the piece
quantity-sling-angle = Sling angle
quantity-sling-angle-measured-from = Sling angle measured from
quantity-soil-depth = Depth of the soil
quantity-spacing-of-brackets = Spacing of brackets
quantity-stage = Stage
quantity-support = Support
quantity-supported-depth = Supported depth
quantity-thickness = Thickness
quantity-truck-payload = Truck payload
quantity-twist = Twist
quantity-ultimate-strength-of-the-insert = Ultimate strength of the insert
quantity-vacuum-below-the-atmosphere = Vacuum below the atmosphere
quantity-vertical-travel-d = Vertical travel D
quantity-volume-of-a-layer = Volume of a layer
quantity-wall = Wall
quantity-weight = Weight
quantity-weight-of-the-article = Weight of the article
quantity-what-one-person-lifts = What one person lifts
quantity-width-of-the-passage = Width of the passage
quantity-working-load-limit-of-a-strap = Working load limit of a strap
quantity-own-weight = Own weight of the { $gear }
quantity-footprint = Footprint of the { $gear }
quantity-weight-on = Weight on the { $gear }
quantity-load-on = Load on the { $gear }
quantity-rating = Rating of the { $gear }
quantity-weight-at = Weight at stage { $stage }
