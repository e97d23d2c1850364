# Faults of the shop's settings.

figure-heat-transfer = { $value_w_m2_k }
figure-thermal-resistance = { $value_m2k_w }
figure-specific-surface = { $value_m2_kg }
figure-force = { $value_n }

setting-not-positive = must be more than 0.
    .fix = Enter a positive value.
setting-below-one = { $value } is too few.
    .fix = Write { $floor } or more.
setting-people = { $value } is not a number of people.
    .fix = Write a whole number, 1 or more.
setting-carriers = { $value } people are too many for one carry.
    .fix = Write { $most } or less.
setting-week = { $value } is not a number of days in a week.
    .fix = Write a whole number from 1 to 7.
setting-day = { $value } is not part of a day.
    .fix = Write hours, such as "8 h".
setting-sling-angle = A sling angle of { $value } from horizontal is not allowed. Use 30° to 90°.
    .fix = Use longer slings or a spreader bar.
setting-shift = { $value } is longer than the 8 h of the lifting equation.
    .fix = Write 8 h or less.
setting-vacuum = { $value } is more than the atmosphere, { $most_pa }.
    .fix = { $units ->
        [imperial] About "9 psi" is usual.
       *[metric] About "60 kPa" is usual.
    }
setting-friction = { $value } is out of range. Enter { $least } to { $most }.
    .fix = A wet pad has 0.2 to 0.3.
setting-days = { $value } is too long.
    .fix = Write { $most } days or less.
setting-amount = { $value } is too large.
    .fix = Write { $most } or less.
setting-not-number = { $value } is not a plain number.
    .fix = Write a number such as { $example }.
setting-negative = { $value } can't be used here.
    .fix = Write 0 or more, such as { $example }.
setting-dynamic = { $value } would make the piece lighter when it moves.
    .fix = Write { $floor } or more.
setting-dynamic-machine = { $value } is too low for a load on a machine (VDI/BV-BS 6205).
    .fix = Write { $floor } or more.
setting-design-factor = { $value } is too low. 29 CFR 1926.704 requires { $floor }.
    .fix = Write { $floor } or more.
setting-vacuum-factor = { $value } is too low. EN 13155 requires { $floor }.
    .fix = Write { $floor } or more.
setting-vacuum-friction-factor = { $value } is too low where friction holds. ASME B30.20 requires { $floor }.
    .fix = Write { $floor } or more.
setting-crack-factor = { $value } is too low. At { $floor } the piece cracks.
    .fix = Write { $floor } or more.
setting-temperature = { $value } is out of range. Enter { $least } to { $most }.
    .fix = Check the unit.
setting-model-hours = { $value } is out of range. The heat model covers { $least } to { $most }.
    .fix = Write { $most } or less.
setting-humidity = { $value } is out of range. Enter { $least } to { $most }.
    .fix = For 50%, write 0.50.
setting-share = { $value } is out of range. Enter { $least } to { $most }.
    .fix = For 5%, write 0.05.
setting-heat-band = { $value } is out of range. Enter { $least } to { $most }.
    .fix = For 15%, write 0.15.
setting-strip-strength = { $value } is out of range. Enter { $least } to { $most }.
    .fix = For 30% of the 28-day strength, write 0.30.
setting-strength-curve = { $value } is out of range. Enter { $least } to { $most }.
    .fix = Rapid cement has 0.20, normal 0.25, slow 0.38.
setting-evaporation-share = { $value } is out of range. Enter { $least } to { $most }.
    .fix = For half of evaporation_most, write 0.5.
setting-peak = { $value } is out of range. Enter { $least } to { $most }.
    .fix = { $units ->
        [imperial] ACI 301 allows 158 °F.
       *[metric] ACI 301 allows 70 °C.
    }
setting-film = { $value } is out of range. Enter { $least } to { $most }.
    .fix = { $units ->
        [imperial] Plastic film has about "18 Btu/h/ft^2/°F".
       *[metric] Plastic film has about "100 W/m^2/K".
    }
setting-blanket = { $value } is out of range. Enter { $least } to { $most }.
    .fix = { $units ->
        [imperial] A curing blanket has about "0.35 Btu/h/ft^2/°F".
       *[metric] A curing blanket has about "2 W/m^2/K".
    }
setting-form-heat = { $value } is out of range. Enter { $least } to { $most }.
    .fix = { $units ->
        [imperial] A 3/4 in board has about "0.9 Btu/h/ft^2/°F".
       *[metric] A 19 mm board has about "5 W/m^2/K".
    }
setting-surface-heat = { $value } is out of range. Enter { $least } to { $most }.
    .fix = { $units ->
        [imperial] Still air indoors has about "1.8 Btu/h/ft^2/°F".
       *[metric] Still air indoors has about "10 W/m^2/K".
    }
setting-strip-order = is { $to_s }, before strip_from, { $from_s }.
    .fix = Swap the two.
