# Faults of materials, mixes, cement and coupons in the job file and the catalogs.

cement-share = { $name } is { $value }. It must be 0 to 1.
    .fix = For 57%, write 0.57.
cement-sum = The compounds add up to { $total } of the cement.
    .fix = They can't add up to more than 1.
cement-compound-missing = { $name } is 0.
    .fix = Give { $needed } above 0 for the heat model.
cement-fineness = A fineness of { $value } is out of range. Enter { $least } to { $most }.
    .fix = Write blaine = "370 m^2/kg".

# Mixes and their parts.
shares-sum = The shares add up to { $total }, not 1.
    .fix = Change { $names } so that they add up to 1.
keys-conflict = { $keys } are given together.
    .fix = Keep one of them.
mix-form-missing = cementitious_share is missing.
    .fix = Add it, or use sand_cementitious, masses, mass_per_volume or volume_parts.
mix-strength-and-coupons = first_crack_strength and coupons are both given.
    .fix = Keep the coupons. They give the strength.
mix-no-aggregate = No aggregate makes up the rest of the counted dry mass.
    .fix = Add `aggregate`.
mix-two-fillers = { $names } are all "fill".
    .fix = Give all but one a mass.
mix-filler-without-air = air is missing, so { $name } can't fill the rest.
    .fix = Add air, such as air = 0.05.
mix-air-most = Air is { $air_share } of the volume. At most { $most_share } is allowed.
    .fix = Write air as a share of the volume, such as 0.05.
mix-air-and-mass-per-volume = air and mass_per_volume are both given.
    .fix = Remove air. It is the volume that the masses leave.
mix-part-beside-form = { $key } and { $form } are both given.
    .fix = Put every material into { $form }.
mix-no-water = { $form } has no water.
    .fix = Add water to { $form }.
mix-water-twice = Water is in volume_parts and in water_cementitious.
    .fix = Keep one of them.
mix-water-missing = Water is missing.
    .fix = Add water to volume_parts, or add water_cementitious.
mix-dosed-twice = { $name } has a dosage and is in volume_parts too.
    .fix = Keep one of them.
mix-filler-kind = { $name } is not an aggregate. Only an aggregate can be "fill".
    .fix = Enter a mass.
mix-parts-liquid = Water is in parts, and { $name } adds more water.
    .fix = Give water_cementitious instead of parts of water.
mix-fiber-twice = Fiber has a dosage and is in volume_parts too.
    .fix = Keep one of them.
mix-unknown = there is no mix "{ $name }".
    .fix = { $nearest }
mix-none = names no mix, and the job has none.
    .fix = Add `mix` to the piece or to [job].
mix-based-on-itself = leads back to the mix itself.
    .fix = Start from another mix.
mix-material-kind = has the kind { $kind }. Only { $allowed } goes here.
    .fix = Move the material to its own part of the mix, or correct its kind.
mix-material-not-mixed = has the kind { $kind }.
    .fix = Remove the material from the mix.
mix-reference-kind = "{ $name }" is not a sand.
    .fix = { $nearest }
mix-reference-missing = is missing. The mix has { $count ->
        [0] no sand.
       *[other] more than one sand.
    }
    .fix = Name the sand whose volume counts, such as reference_sand = "silica-sand".

material-unknown = there is no material "{ $name }".
    .fix = { $nearest }
material-perhaps-misspelled = is not in the catalog. A new material needs a `kind`.
    .fix = { $nearest }
material-none = there is no such material.
    .fix = { $nearest }
material-no-density = has no density.
    .fix = { $units ->
        [imperial] Add relative_density = 2.65, or density = "165 lb/ft^3".
       *[metric] Add relative_density = 2.65, or density = "2650 kg/m^3".
    }
material-solids-dry = solids is for a liquid or a slurry, not for { $kind }.
    .fix = Remove it. Water in a damp aggregate is its `moisture`.
material-packing = packing is for a light aggregate, not for { $kind }.
    .fix = Give relative_density or density.
material-no-bulk-density = has no bulk_density. An aggregate needs one.
    .fix = { $units ->
        [imperial] Add bulk_density = "100 lb/ft^3", loose and dry.
       *[metric] Add bulk_density = "1600 kg/m^3", loose and dry.
    }
material-usual-air = usual_air is for a light aggregate, not for { $kind }.
    .fix = Give `air` in the mix instead.
material-density-range = A density of { $density_kg_m3 } is out of range for the kind "{ $kind }". Enter { $least_kg_m3 } to { $most_kg_m3 }.
    .fix = Check the unit.
material-bulk-denser = The bulk density, { $bulk_density_kg_m3 }, is more than the density of the material, { $solid_kg_m3 }.
    .fix = Check the units. Bulk density counts the air between the grains.
material-absorption = absorption { $value } is above { $most_share } of the dry mass.
    .fix = For { $percent_share }, write { $share }.
material-analysis = analysis is for cement, not for { $kind }.
    .fix = Remove `analysis`, or correct the kind.
material-cao = cao is for fly ash, not for { $kind }.
    .fix = Remove `cao`, or correct the kind.
material-cao-most = cao is { $cao_share }. A fly ash has at most { $most_share }.
    .fix = Write the share by mass, such as 0.10.
material-solids = solids must be more than 0.
    .fix = Write the share by mass that is not water.
material-not-consumable = has the kind { $kind }, which goes into mixes.
    .fix = { $nearest }
name-twice = is "{ $first }" in another spelling.
    .fix = Write "{ $first }", or use another name.

air-band = low is { $low_share } and high is { $high_share }.
    .fix = Write low first and keep high below 1, such as {"{"} low = 0.18, high = 0.28 {"}"}.
pack-without-size = has no mass and no volume.
    .fix = { $units ->
        [imperial] Add mass = "50 lb", or volume = "27 ft^3".
       *[metric] Add mass = "25 kg", or volume = "0.75 m^3".
    }

bucket-size = needs one of `volume` and `reference`.
    .fix = { $units ->
        [imperial] Give volume = "5 gal", or reference = the material of known bulk density.
       *[metric] Give volume = "20 L", or reference = the material of known bulk density.
    }
bucket-reference-not-filled = reference "{ $name }" is not in `fills`.
    .fix = Weigh a bucket of { $name } too.
bucket-reference-no-density = { $name } has no bulk density.
    .fix = { $units ->
        [imperial] Give the volume of the bucket instead, such as volume = "5 gal".
       *[metric] Give the volume of the bucket instead, such as volume = "20 L".
    }

# Coupons.
coupon-limit-above-peak = limit is { $limit_n }, above the peak of { $peak_n }.
    .fix = First crack comes at or before the highest load.
coupons-none = has no coupon of { $mix }.
    .fix = Give a head row and one row per coupon.
coupons-none-at-all = has no coupons.
    .fix = Give a head row and one row per coupon.
coupon-age = A coupon of pour { $pour } has an age of { $days } days.
    .fix = The age must be more than 0.
coupon-limit = A coupon of pour { $pour } has a limit of { $limit_n } and a peak of { $peak_n }.
    .fix = The limit must be above 0 and not above the peak.
curve-shape = The curve needs deflections and loads of equal length.
    .fix = Give 4 points or more.
curve-offset = An offset of { $offset_m } is not allowed.
    .fix = It must be more than 0.
curve-not-rising = The deflections do not rise up to the highest load.
    .fix = Check the record.
curve-few-points = The curve has { $count } points between { $from_share } and { $to_share } of the highest load.
    .fix = Record more often. The first slope needs 3 points.
curve-not-loading = The load does not rise at the start of the curve.
    .fix = Check the record.
coupons-of-several-pours = Coupons of several pours ({ $pours }) are not one sample.
    .fix = Test every pour by itself.
coupons-of-several-ages = Coupons of several ages ({ $ages } days) are not one sample.
    .fix = Test every age by itself.
coupons-too-few = { $count ->
        [0] There is no test result.
        [one] One test result shows no scatter.
       *[other] { $count } test results are too few.
    }
    .fix = Test 2 coupons or more.
strength-share = { $name } is { $value }. It must be between 0 and 1.
    .fix = For 95%, write 0.95.

# What a set of coupons lacks.
coupons-below-fewest = { $count ->
        [one] 1 coupon. A lower limit needs { $fewest } or more.
       *[other] { $count } coupons. A lower limit needs { $fewest } or more.
    }
coupons-one-sided = { $up } of { $count } were tested face up. Test half of them face up and half face down.
coupons-without-limit = { $count ->
        [one] 1 coupon has no limit of proportionality, so there is no design stress.
       *[other] { $count } coupons have no limit of proportionality, so there is no design stress.
    }
coupons-odd-span = { $count ->
        [one] 1 coupon has a span outside { $from } to { $to } times its depth.
       *[other] { $count } coupons have a span outside { $from } to { $to } times their depth.
    }
coupons-scatter = The results scatter too widely. The lower limit is below 0, so no strength is shown.

fire-polystyrene = is "fire", but mix { $mix } has { $materials }. It softens at about { $softens_c }.
    .fix = Use a mineral light aggregate, such as { $minerals }. Or write allowed = ["{ $permission }"].
