# Titles, heads and cells of the tables that the terminal, the summary page and the workbook share.

table-pieces = Pieces
table-weights = Weights, one piece
table-mixes = Mixes
table-order = Material order
table-labor = Labor
table-price = Cost and price
table-payments = Payments
table-beside = Options and alternates (not in the total)
table-calendar = Calendar, earliest days
table-cautions = Cautions

head-mark = Mark
head-quantity = Qty
head-size = Size
head-volume = Volume
head-installed = Installed
head-area = Plan, { $unit }
head-areal-mass = By area
head-max-lift = Max. lift
head-max-flip = Max. flip
head-carry = Carry
head-amount = Amount, { $unit }
head-per = Per { $unit }
head-mix = Mix
head-to-batch = To batch
head-fresh = Fresh (low–high), { $unit }
head-installed-density = Installed, { $unit }
head-w-cm = w/cm
head-w-c = w/c
head-air = Air
head-in-water = In water
head-first-crack = First crack
head-material = Material
head-needed = Needed
head-stock = In stock
head-buy = Buy
head-left-over = Left over
head-pay = Price, { $unit }
head-stock-value = Stock used, { $unit }
head-activity = Activity
head-of = Quantity
head-time-each = Time each
head-people = People
head-hours = Person-hours
head-rate = Rate
head-cost = Cost, { $unit }
head-payment = Payment
head-due = Due
head-share = Share
head-step = Step
head-pour = Pour
head-from = From
head-to = To
head-latest = No later than
head-severity = Severity
head-caution = What to do
head-pieces = Pieces

cell-crew-with-strength = { $crew }{ $strength ->
    [not-enough] , MAY CRACK
    [untested] , not tested
   *[enough] { "" }
}
cell-floats = floats
cell-sinks = sinks
cell-not-tested = not tested
cell-strength-at-age = { $strength } at { $days } d
cell-from-tap = from the tap
cell-in-stock = in stock
cell-by-mass = by mass, no pack
cell-direct-cost = Direct cost
cell-price-before-tax = Price before tax
cell-total = Total
cell-pieces-together = { $count ->
    [one] 1 piece
   *[other] { $count } pieces
}, { $people } people together
cell-amount-of = { $amount } of { $basis }
cell-count-of = { $basis ->
    [batch] { $count ->
        [one] 1 batch
       *[other] { $count } batches
    }
    [person] { $count ->
        [one] 1 person
       *[other] { $count } people
    }
    [piece] { $count ->
        [one] 1 piece
       *[other] { $count } pieces
    }
    [pour] { $count ->
        [one] 1 pour
       *[other] { $count } pours
    }
    [sample] { $count ->
        [one] 1 sample
       *[other] { $count } samples
    }
    [visit] { $count ->
        [one] 1 visit
       *[other] { $count } visits
    }
    [large-opening] { $count ->
        [one] 1 large opening
       *[other] { $count } large openings
    }
   *[small-opening] { $count ->
        [one] 1 small opening
       *[other] { $count } small openings
    }
}
cell-option = Option
cell-option-taken = Option, taken
cell-in-price = in the price
cell-alternate = Alternate
cell-change-order = Change order { $number }
cell-change-order-unsigned = Change order { $number }, not signed
cell-change-effect = { $amount }, { $days } days
cell-payment-received = Received
cell-balance-due = Balance due
cell-day-number = day { $number }
