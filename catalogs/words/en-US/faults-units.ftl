# Faults of quantities, shares and figures, wherever they are entered.

# An example of what to type, in the units of the job.
in-units = { $units ->
    [imperial] { $imperial }
   *[metric] { $metric }
}

quantity-no-unit = "{ $value }" has no unit.
    .fix = Write "{ $example }".
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
quantity-second-unit = "{ $value }" has a second number without a unit.
    .fix = Add the unit, as in 6' 3-1/2".
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
quantity-unit-near = "{ $value }" has an unknown unit, "{ $unit }".
    .fix = Did you mean "{ $near }"?
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
