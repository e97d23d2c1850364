# Faults of the job file: tables, keys, pieces, prices and terms.

coordinate-no-unit = { $value } has no unit.
    .fix = { $units ->
        [imperial] Write "{ $value } in", or give `unit`.
       *[metric] Write "{ $value } mm", or give `unit`.
    }
price-not-number = { $value } is not a price.
    .fix = Write a plain number in the job's currency, such as 9.50.
price-negative = A price can't be { $value }.
    .fix = Write 0 or more.
price-too-large = { $value } is too large for a price.
    .fix = Write { $most } or less.
count-not-whole = { $value } is not a whole number.
    .fix = Write a whole number, such as 2.
count-below-one = { $value } is too few.
    .fix = Write 1 or more.
count-too-large = is { $found }. At most { $most } are taken.
    .fix = Write { $most } or less, or raise the limit with { $option }.
date-out-of-range = { $value } is outside { $first } to { $last }.
    .fix = Write a day within that range.
date-unreadable = { $value } is not a date.
    .fix = Write year, month and day, such as "2026-03-02".
parts-not-number = { $value } is not a number of parts.
    .fix = Write a plain number, such as 2 or 0.5.
parts-not-positive = { $value } is not a number of parts.
    .fix = Write a number above 0, or leave the material out.

# Curing, picks and handling of a piece.
cure-resistance = { $value } is out of range. Enter { $least } to { $most }.
    .fix = { $units ->
        [imperial] A curing blanket has about "3 ft^2*h*°F/Btu".
       *[metric] A curing blanket has about "0.5 m^2*K/W".
    }
cure-thinnest = thinnest is { $thinnest_m }, more than thickest, { $thickest_m }.
    .fix = Swap the two.
picks-angle-from = The angle of { $angle } has no reference.
    .fix = Add angle_from = "horizontal" or "vertical".
handling-seal-at-hold-point = seal does not apply at a hold point, where the form is already loose.
    .fix = Remove seal, or write release = "suction".
handling-leak-test = leak_tested gives no figures.
    .fix = Write vacuum = "55 kPa" and vacuum_holds = "10 min", as measured.

# Terms of the price.
payments-sum = The payment steps add up to { $total }, not 1.
    .fix = Change the share of { $steps }.
price-on-cost = { $key } is { $value } times the cost. At most { $most } is allowed.
    .fix = For { $percent_share }, write { $share }.
price-margin-and-markup = margin and markup are both given.
    .fix = Keep the margin (on the price) or the markup (on cost).
price-margin-most = A margin of { $margin_share } makes the price { $times } times the cost. At most { $most_share } is allowed.
    .fix = Write a margin such as 0.30.
price-margin = A margin of { $margin_share } leaves nothing for the cost.
    .fix = Write less than 1.
coverage-without-area = coverage does not go with basis "{ $basis }".
    .fix = Write basis = "form-area" or "finished-area", or remove coverage.

# Access on site.
stairs-too-steep = A pitch of { $value } is a ladder. At most { $most }° is allowed.
    .fix = Enter the angle from the horizontal.
elevator-door = Only one of door_width and door_height is given.
    .fix = Give both, or neither.

# Keys and values of any table.
key-unknown = this key is not known.
    .fix = { $nearest }
key-missing = is missing.
    .fix = Add `{ $key }`.
language-of-readers = { $value } is there for crew and client only. A whole job is written in one of { $languages }.
    .fix = Delete the line, and write crew_language = { $value } or client_language = { $value }.
choice-not-known = "{ $value }" is not one of { $choices }.
    .fix = { $nearest }
shape-no-kind = `kind` is missing.
    .fix = Add the kind of shape, such as kind = "slab". In a list, add a column Shape with slab, panel or box.
value-pattern = { $value } does not have the form { $pattern }.
    .fix = Write it in that form.
value-empty = is empty.
    .fix = Enter some text, or remove the key.
value-too-long = { $value } is too long.
    .fix = Write { $most } characters or less.
list-too-short = { $count ->
        [0] is empty.
       *[other] has too few entries.
    }
    .fix = Give at least { $least }.
list-too-long = has too many entries.
    .fix = Give at most { $most }.
value-not-above = { $value } is out of range.
    .fix = Write more than { $limit }.
value-below = { $value } is out of range.
    .fix = Write { $limit } or more.
value-not-below = { $value } is out of range.
    .fix = Write less than { $limit }.
value-above = { $value } is out of range.
    .fix = Write { $limit } or less.
value-not-bool = { $value } is not true or false.
    .fix = Write true or false, without quotes.
value-not-table = { $value } is not a table.
    .fix = Write a table, such as key = {"{"} name = value {"}"}.
value-not-number = { $value } is not a number.
    .fix = Write a plain number, without quotes.
value-not-whole = { $value } is not a whole number.
    .fix = Write a whole number, such as 2.
value-not-list = { $value } is not a list.
    .fix = Write a list in brackets, such as [a, b].
value-not-text = { $value } is not text.
    .fix = Write it in quotes.
value-refused = { $value } can't be used here.
    .fix = Run `cast-estimator schema` to see how it is written.

# The head of the job, pieces and loading.
currency-case = { $value } is not a currency code.
    .fix = Write "{ $code }".
currency-unknown = { $value } is not a currency code of ISO 4217.
    .fix = Write a code of three capital letters, such as "USD" or "EUR".
loading-kinds-missing = { $key } leaves out { $kinds }.
    .fix = Name every kind of material once.
loading-kind-twice = { $key } names a kind twice.
    .fix = Name every kind of material once.
loading-unknown = loading_order "{ $name }" is not known.
    .fix = Write { $known }.
loading-missing = mixer.kind "{ $kind }" has no usual loading order.
    .fix = Add loading_order = { $known }.
piece-mix-and-layers = `mix` and `layers` are both given.
    .fix = Keep `layers`, or keep `mix` for a piece of one mix.
layers-open = More than one layer has no thickness.
    .fix = Give every thickness but one.

# Stock, options, alternates and change orders.
amount-not-one = { $count ->
        [0] has no amount.
       *[other] { $keys } are given together.
    }
    .fix = Give exactly one of basis, area, length, volume, mass and pieces.
stock-not-one = { $count ->
        [0] has no amount.
       *[other] { $keys } are given together.
    }
    .fix = { $units ->
        [imperial] Give mass = "60 lb", or for a consumable area, length, volume or pieces.
       *[metric] Give mass = "25 kg", or for a consumable area, length, volume or pieces.
    }
overlay-empty = changes nothing.
    .fix = Add what changes, such as swap, piece, add, remove, price or workshop.
option-empty = has no lump sum and no change.
    .fix = Give `lump`, or what changes, such as add or piece.
option-lump-and-changes = has a lump sum and changes too.
    .fix = Keep `lump`, or keep the changes.
version-no-piece = leaves no piece of the job.
    .fix = Keep at least one piece.
agreed-marks = { $missing ->
    [none] names marks that the job does not have: { $unknown }.
   *[other] lacks the price of { $missing }.
}
    .fix = Enter the accepted price of each mark of the job, or leave `pieces` out.
agreed-sum = The accepted prices of the pieces add up to { $sum_price }, and the accepted price is { $whole_price }.
    .fix = Correct one, or leave `pieces` out.
job-no-piece = the job has no piece.
    .fix = Add at least one [[piece]] or [[schedule]].
name-used-twice = "{ $name }" is used twice.
    .fix = Give every one its own name.
change-out-of-order = { $number } is out of order.
    .fix = Number change orders 1, 2, 3. This one is { $expected }.
change-before-release = is a change order, but the job is "{ $status }".
    .fix = Change the piece itself, or set status = "released" in [job].
piece-unknown = there is no piece "{ $mark }".
    .fix = { $nearest }
swap-not-used = no piece here uses the mix "{ $name }".
    .fix = { $nearest }
overlay-no-mark = has no mark.
    .fix = Add the mark of the piece that changes.
overlay-mark-twice = "{ $mark }" is changed more than once.
    .fix = Put all its changes into one entry.
mark-repeated = is used { $count } times{ $first }.
    .fix = Give every piece its own mark.
mark-repeated-in-another-spelling = is used { $count } times{ $first }. Spaces and case don't make another mark.
    .fix = Give every piece its own mark.
mark-first-in = , first in { $place }
shape-at = shape.at is only for parts of a compound.
    .fix = Remove `at`.

payment-step-unknown = there is no payment step "{ $name }".
    .fix = { $nearest }
samples-no-mix = The samples name no mix, and the job has none.
    .fix = Add `mix` to [samples] or to [job].
supplier-unknown = "{ $name }" is not one of the suppliers.
    .fix = { $nearest }
zone-unknown = supplier { $supplier } has no zone "{ $zone }".
    .fix = { $nearest }
zone-missing = is missing. { $supplier } charges freight by zone.
    .fix = Choose one of { $zones }.
stock-measures-differ = is given in different measures.
    .fix = Give every lot in the same measure.
stock-not-by-mass = is not given by mass. A mix needs mass.
    .fix = { $units ->
        [imperial] Write mass = "60 lb".
       *[metric] Write mass = "25 kg".
    }

# Sizes that nobody can cast.
size-too-long = { $size_m } is too long to cast as one piece.
    .fix = Write { $limit_m } or less, and check the unit.
size-too-thin = { $thickness_m } is too thin to cast.
    .fix = Write { $limit_m } or more, and check the unit.
size-rail-too-thin = leaves { $rail_m } of concrete to { $neighbor }, at x = { $x_m }, y = { $y_m }. That is too thin to cast.
    .fix = Move or resize the opening.
edge-of-piece = the edge
insert-outside = is { $distance_m } outside the piece.
    .fix = Give the position in the piece's own axes.

correction-figure = "{ $figure }" is not a figure that can be corrected.
    .fix = { $nearest }
correction-value = { $value } is not a ratio.
    .fix = Write a plain number, such as 0.04.

inserts-fill-layer = The inserts displace { $displaced_m3 } of a layer of { $layer_m3 }.
    .fix = Correct `displaces`.
layers-all-thick = Every layer has a thickness, but the shape has none of its own.
    .fix = Remove the thickness of the last layer. It takes the rest.
tolerance-over-thickness = The thickness tolerance is { $tolerance_share } of the thickness.
    .fix = Set a tolerance smaller than the thinnest section.
