# Faults of packs, suppliers, forms and orders.

packaging-minimum-not-reached = { $searched ->
    [all] No order reaches
   *[some] No order was found that reaches
} the order minimums of its suppliers.
    .fix = Add packs of another supplier, or give small_order_charge.
packaging-measure-missing = pack "{ $pack }" does not say its { $measure ->
    [kg] mass
    [m3] volume
    [m2] area
    [m] length
   *[piece] number of pieces
}, by which it is needed.
    .fix = Give the { $measure ->
        [kg] mass
        [m3] volume
        [m2] area
        [m] length
       *[piece] number of pieces
    } in it.
packaging-below-one = { $what ->
    [casts] Casts
    [forms] Forms
   *[uses] Uses
} must be 1 or more, not { $value }.
    .fix = Enter a whole number from 1 on.
packaging-sheet-trimmed-away = nothing is left of the sheet after trimming.
    .fix = Give its length and width.
packaging-board-empty = { $board } has no size or no count.
    .fix = Give more than zero.
packaging-board-too-large = { $board }, { $board_size }, is larger than what a sheet gives, { $sheet_size }.
    .fix = Join it of two boards, or take a larger sheet.
packaging-samples-negative = Count, thickness and price of samples can't be negative or zero.
    .fix = Give a count and a thickness. A price of zero is free.
packaging-pallet-size = { $what ->
    [mass_kg] Mass
    [length_m] Length
    [width_m] Width
   *[rated_kg] Rating
} of a pallet must be more than 0, not { $value }.
    .fix = Give more than zero.
packaging-lift-limit = The lift limit must be more than 0.
    .fix = Give the rated load of the forklift or pallet truck.
packaging-charge-negative = A charge can't be { $value }.
    .fix = Give zero or more.
packaging-zone-unknown = the tariff has no zone "{ $zone }".
    .fix = Choose one of { $zones }.
packaging-shelf-life-short = { $material_name } keeps { $days } days.
    .fix = Give a shelf life of one day or more.
packaging-amount-negative = An amount can't be { $value } kg.
    .fix = Give zero or more.
packaging-pack-without-mass = pack "{ $pack }" has no mass, and a mix needs mass.
    .fix = Give its mass, or its volume beside the material's bulk density or density.
packaging-pack-without-size = pack "{ $pack }" has neither mass nor volume.
    .fix = Give mass = "50 lb" or volume = "27 ft^3" (a consumable: the area, length or pieces in it).
packaging-pack-empty = pack "{ $pack }" holds nothing.
    .fix = Give a content above zero.
packaging-price-negative = a price of pack "{ $pack }" is negative or not a number.
    .fix = Give a price of zero or more.
packaging-minimum-negative = the smallest order is { $value }.
    .fix = Leave minimum out, or give a count.
packaging-per-pallet = { $value } packs make no pallet.
    .fix = Give per_pallet = 1 or more.
packaging-price-missing = pack "{ $pack }" has a price for many but none for one.
    .fix = Give its price.
packaging-breaks-order = the break from { $value } does not come after { $before }.
    .fix = List breaks by rising count, the first from 2 or more.
packaging-break-dearer = from { $count } packs on each costs { $price }, more than the { $before } before.
    .fix = Correct the price, or set dearer_breaks = true if the supplier really charges more for more.
packaging-pallet-count-missing = pack "{ $pack }" has a price by the pallet, but not how many make one.
    .fix = Give per_pallet.
packaging-pallet-dearer = a full pallet costs { $price }, more than its { $count } packs bought singly.
    .fix = Correct the price of the pallet, or leave it out.
packaging-density-missing = forms of "{ $kind }" are made of { $material_name }, whose density is not given.
    .fix = Add [materials.{ $material }] with its density = "1050 kg/m^3".
packaging-order-minimum = The order minimum can't be { $value }.
    .fix = Give zero or more.
packaging-rectangle = { $length_m } × { $width_m }
