# Warnings about a mix. They are printed after its name.

warning-fiber-excess = Fiber is { $fiber_share } of the counted dry mass. Over { $useful_share } adds no flexural strength (common practice).
warning-pigment-excess = Pigment is { $pigment_share } of the cementitious. Over { $limit_share } of the cement weakens the mix (ASTM C979).
warning-dosage-low = { $material_name } at { $dose } { $basis } is below its usual { $limit }.
warning-dosage-high = { $material_name } at { $dose } { $basis } is above its usual { $limit }.
basis-cementitious = of cementitious
basis-solids = solids of cementitious
basis-counted-dry = of counted dry mass
basis-total = of the total
warning-absorbent = { $material_name } can absorb { $absorption_share } of dry mass in water. Stocked at { $moisture_share } moisture. Soak before mixing, or the mix stiffens.
warning-damp-sand = { $material_name } is damp ({ $moisture_share }) and bulks. Measure it by scale, not by bucket.
warning-moisture-not-counted = Moisture and absorption of { $material_name } are not counted. Only an aggregate's are.
warning-density-not-weighed = Air-entrained with light aggregate: density is known to ±{ $tolerance_share } at best. Weigh a known volume of it.
warning-entrained-untested = Air-entrained with light aggregate and no strength test: not for pieces that are carried, hung or lifted. Test coupons first.
warning-air-unusual = { $air_share } air and no air entrainer. Mixes with { $material_names } are usually air-entrained. This one is heavier and yields less. Add an air entrainer, or weigh a known volume of the mix.
warning-water-unusual = w/cm is { $ratio } (usual: { $low } to { $high }). Check what was entered for the water.
warning-sand-unusual = There is { $ratio } times as much sand as cementitious (usual: up to { $most }). Check what was entered for the sand.
warning-beads-may-float = w/cm { $ratio } with this plasticizer may flow, and then the beads float. Use less of both. Or, if it holds its shape in a slump check, write consistency = "stiff".
warning-bulk-density-missing = { $material_name } has no bulk density. Its loose volume is taken as { $times } times its absolute volume.
warning-color-dosage = Color group { $group }: { $one_name } and { $other_name } differ in { $what ->
    [pigment] pigment
   *[cementitious] cement and pozzolan
}: { $material_name } { $dose } and { $other_dose } of cementitious.
warning-color-sand = Color group { $group }: { $one_name } and { $other_name } differ in sand: { $sand_names } and { $other_sand_names }.
warning-color-water = Color group { $group }: { $one_name } and { $other_name } differ in w/cm: { $ratio } and { $other_ratio }.

# What stopping short of the planned water asks of the caster.
stop-short = { $mix_name } stopped at w/cm { $ratio }, not { $planned }: the batch makes { $short_share } less. The last piece may run short.
stop-stiff = A stiffer mix traps more air and flows less into corners. Compact it well, and weigh a known volume before you rely on this density.
stop-untested = Strength not tested. Drier is stronger only if fully compacted. Cast coupons of it.
stop-other-water = Strength was tested at another w/cm. Drier is stronger only if fully compacted. Cast coupons of it.

# What a warning about a mix begins with.
of-mix = { $mix_name }
