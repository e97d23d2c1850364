# What ordering warns of.

warning-no-packs = { $material_name } has no packs. It is ordered by weight, without a price, and is not in the total.
warning-pack-unpriced = { $material_name } has a pack without a price. Its order is not in the total.
warning-pack-free = { $material_name }: { $packs } has a price of 0, so it counts as free. Enter what you pay for it.
warning-pack-not-compared = { $material_name }: { $packs } has no price and is not compared with the other packs.
warning-consumable-unpriced = { $material_name } has { $lacks ->
    [packs] no packs
   *[price] a pack without a price
}. Its order is not in the total.
warning-order-not-proven = The order meets supplier minimums. A cheaper combination may exist, by { $gap_price } at most.
warning-minimum-elsewhere = { $supplier }: order minimum { $minimum_price }. Ordered elsewhere instead, for { $more_price } more.
warning-minimum-charge = { $supplier }: order minimum { $minimum_price }. The small-order charge of { $charge_price } is paid instead.
warning-minimum-bought = { $supplier }: order minimum { $minimum_price }. Bought to reach it: { $packs }, for { $more_price } more.
warning-packs-of = { $material_name } ({ $count } × { $pack })
warning-samples-unpriced = Samples: a material of mix { $mix_name } has no price. Their concrete is not in the total.
warning-pallet-overloaded = A pallet of { $stands } weighs { $high_kg } gross, over the rating of { $gear }. Split the load over more pallets, or check the rating plate.
warning-gear = { $gear ->
    [forklift] the forklift
    [pallet-truck] the pallet truck
   *[pallet] the pallet
}
warning-edge-length-unknown = { $marks }: edge lengths of this shape are not known. Not ordered for them: { $material_names }.
