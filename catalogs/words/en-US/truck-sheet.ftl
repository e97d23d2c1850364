# The truck sheet, and what is assumed of racks, pallets and trucks.

truck-ratings = Ratings of truck, pallet and forklift are the shop's figures. Check them against the rating plates.
truck-a-frames = Load both sides of an A-frame evenly, chock it, and strap the pieces before the truck moves or opens.
truck-bed-assumed = Racks are placed on a bed of { $length_m } × { $width_m }. Driver: check that they fit.

stand-name = { $rack ->
    [A-frame] A-frame
   *[pallet] Pallet
} { $number }
