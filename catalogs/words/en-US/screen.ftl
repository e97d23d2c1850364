# The first screen of an estimate, on the terminal and on the summary page.

screen-pieces = { $count ->
    [one] 1 piece
   *[other] { $count } pieces
}
screen-revision = revision { $revision }

# Labels at the left.
screen-total = Total
screen-lead-time = Lead time
screen-heaviest = Heaviest
screen-order = To order
screen-not-safe-yet = Not safe yet
screen-warnings = Warnings
screen-more-tables = More

screen-total-taxed = { $total_price } with tax, { $sum_price } before tax
screen-total-plain = { $total_price }
screen-unpriced = Not in the total, no price: { $names }
screen-ships = Ready to ship { $ship_date }
screen-lead-days = { $count ->
    [one] Ready to ship 1 working day after approval
   *[other] Ready to ship { $count } working days after approval
}
screen-heavy-piece = { $mark }  { $high_kg }  { $crew }{ $strength ->
    [not-enough] , may crack: not strong enough
    [untested] , may crack: not tested
   *[enough] { "" }
}
screen-heavy-ways = { $mark }  { $high_kg }  { $crew }: { $ways }
screen-order-total = { $count ->
    [one] { $order_price } for 1 item, before tax
   *[other] { $order_price } for { $count } items, before tax
}
screen-order-line = { $name }: { $packs }, { $price }
screen-nothing-open = No open items.

screen-more = +{ $count } more
screen-tables = --show { $tables }, or --full
screen-pack = All papers are in { $folder }.
deferral = Weights are calculated. Weigh the first piece before you rely on them for lifting. Local codes, manufacturers' ratings, and a licensed engineer or qualified rigger govern.
example-prices = Catalog prices are examples. Enter your suppliers' prices.
deferral-short = Weights are calculated. Weigh the first piece before you rely on them for lifting.
