quote-before-tax = Price before VAT
quote-acceptance = I accept { $number ->
    [none] this quote
   *[other] quote { $number }
}{ $revision ->
    [none] {""}
   *[other] , revision { $revision },
} and its terms for { $total_price }, VAT included.
quote-option-price = Adds, before VAT
quote-alternate-price = Price before VAT
quote-change-price = Before VAT
quote-scope-measuring = Site measure
quote-scope-plumbing = Plumbing, sink and tap connections
quote-scope-gas = Gas lines, burners and flues
quote-scope-wall = Fixings and their design, backing wall and joint sealant
quote-range = Budget range before VAT
term-anchors = A licensed engineer must design the fixings and backing wall for wind and seismic. That design is not included.
