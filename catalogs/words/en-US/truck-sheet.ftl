# The truck sheet, and what is assumed of racks, pallets and trucks.

truck-ratings = Ratings of truck, pallet and forklift are the shop's figures. Check them against the rating plates.
truck-a-frames = Load both sides of an A-frame evenly, chock it, and strap the pieces before the truck moves or opens.
truck-bed-assumed = Racks are placed on a bed of { $length_long_m } × { $width_long_m }. Driver: check that they fit.

stand-name = { $rack ->
    [A-frame] A-frame
   *[pallet] Pallet
} { $number }

truck-title = Truck sheet
truck-purpose = For the loaders and the driver. All weights are maximums, racks included.
truck-trips = Trips
truck-gross-all = Gross weight of everything
truck-heaviest = Heaviest rack
truck-most-straps = Straps for the fullest trip
truck-straps-rated = { $count ->
    [one] 1 strap
   *[other] { $count } straps
}, { $rating_kg } working load limit
truck-check-title = CHECK BEFORE LOADING
truck-cautions = Loading and unloading
truck-trip = { $count ->
    [one] Trip { $trip } of { $trips }
   *[other] Trips { $trip } of { $trips }, loaded alike
}
truck-load = Gross weight { $high_kg } of { $payload_kg } payload. Bed used: { $bed_long_m } of { $length_long_m }.
truck-gross = Gross weight
truck-strap-total = Min. strap total
truck-ticks = Loaded, strapped
truck-side = Side { $side }: { $pieces }
truck-cab = CAB
truck-loaded-by = Trip { $trip } loaded and strapped by: name, date, time
