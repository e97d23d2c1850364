# The summary page, for the shop: the first screen, four charts and the tables.

summary-internal = Internal – shows costs
summary-weight = Weight by piece
summary-weight-caption = One piece. Black: lightest. Hatched: up to heaviest (the number shown).{ $more ->
    [0] { "" }
   *[other] { " " }{ $more } lighter pieces are in the table.
}
summary-cost = Cost by kind
summary-cost-caption = In { $currency }. Total { $total }.
summary-swap = Weight and cost as sand is replaced, { $mix }
summary-swap-weight = weight of all pieces, fresh
summary-swap-cost = cost of materials
summary-swap-across = % of { $sand } replaced
summary-swap-up = % of the all-sand mix
summary-swap-caption = Fresh weight, and materials in { $currency }: { $steps }.
summary-heat = Temperature while curing, { $mark }
summary-heat-expected = expected
summary-heat-high = high heat
summary-heat-low = low heat
summary-heat-across = hours after placing
summary-heat-up = at mid-thickness, { $unit }
summary-heat-caption = The hottest piece, under { $cover }.
summary-heat-limit = Limit { $peak_c } ({ $source }).
summary-cost-kind = { $kind ->
    [materials] materials
    [consumables] consumables
    [labour] labor
    [allowances] allowances
    [forms] forms
    [freight] supply freight
    [delivery] delivery
    [gear] rented gear
    [overhead] overhead
    [margin] margin
    [options] options
    [minimum_charge] minimum charge
    [rounding] rounding
    [adjustment] adjustment
    [tax] tax
   *[other] { $kind }
}
cover-plastic = plastic
cover-blanket = plastic and curing blanket
