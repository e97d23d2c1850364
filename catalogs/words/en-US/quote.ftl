# The quote, and after release the order confirmation: what the client pays for, and on which terms.

quote-title = { $status ->
    [ballpark] Budget price
    [released] Order confirmation
   *[quoted] Quote
}
quote-purpose = { $status ->
    [ballpark] Budget price, not a firm quote. Sizes and details to be confirmed.
    [released] Your order as released. Tell us at once if anything here differs from what you ordered.
    [templated] Firm price for the pieces below, to the template sizes.
   *[quoted] Firm price for the pieces below.
}

quote-number = { $status ->
    [released] Order no.
   *[quoted] Quote no.
}
quote-date = Date
quote-revision = Revision
quote-valid-until = Valid until
quote-lead-time = Lead time
quote-lead-days = { $days ->
    [one] 1 working day after approval
   *[other] { $days } working days after approval
}
quote-ready = Ready to ship
quote-undated = not dated
quote-for = Client
quote-site = Job site
quote-contact = Site contact

quote-pieces = Pieces
quote-description = Piece
quote-count = All pieces
quote-max-weight = Max. weight each, { $unit }
quote-quantity = Qty
quote-area-each = Area each, { $unit }
quote-unit-price = Unit price
quote-each = { $each_price } each
quote-per-length = { $each_price } per { $units ->
    [imperial] foot
   *[metric] meter
}
quote-area-price = Price per { $unit }
quote-amount = Amount
quote-use = { $use ->
    [counter] Counter
    [splash] Backsplash
    [panel] Panel
    [planter] Planter
    [basin] Basin
    [fire] Fire feature
   *[other] Cast piece
}
quote-finish = Finish: { $finish }
quote-color = Color: { $color }
quote-seam = Part of { $whole }, joined at the seam (broken line)
quote-drop-edge = Drop edge { $height_m } high: { $sides }, { $length_m }
quote-edge-profile = { $kind ->
    [bevel] Beveled edge { $size_m }
    [cove] Cove edge { $size_m }
    [eased] Eased edge
    [bullnose] Bullnose edge
    [mitre] Mitered edge
   *[round-over] Rounded edge { $size_m }
}: { $sides }, { $length_m }
quote-all-around = all around
quote-edges = { $count ->
    [one] 1 edge
   *[other] { $count } edges
}
quote-heavy-lines = Heavy lines: drop edges and edge profiles.
quote-returns = Returns { $depth_m } deep: { $sides }
quote-cutouts = { $count ->
    [one] 1 cutout
   *[other] { $count } cutouts
} { $size }, edge { $edge ->
    [raw] raw
   *[finished] finished
}
quote-notches = { $count ->
    [one] 1 notch
   *[other] { $count } notches
} { $size }, edge { $edge ->
    [raw] raw
   *[finished] finished
}
quote-holes = { $count ->
    [one] 1 hole
   *[other] { $count } holes
} { $size_m }
quote-side = { $side ->
    [front] front
    [back] back
    [left] left
    [right] right
    [top] top
   *[bottom] bottom
}
quote-rounded-area = Areas and prices are rounded. The amounts govern.
quote-rounded = Unit prices are rounded to the cent. The amounts govern.
quote-before-tax = Price before tax
quote-price = Price
quote-total = Total due
quote-range = Budget range before tax
quote-range-ends = { $low_price } to { $high_price }
quote-incomplete = Incomplete: some items are not priced yet and are not in the total.

quote-scope = Scope
quote-included = Included
quote-excluded = Not included
quote-scope-pieces = Pieces as listed, cast and finished
quote-scope-sealing = Sealing
quote-scope-template = Template on site
quote-scope-measuring = Field measuring
quote-scope-samples = { $count ->
    [one] 1 finish sample
   *[other] { $count } finish samples
}
quote-scope-samples-credited = { $count ->
    [one] 1 finish sample
   *[other] { $count } finish samples
}, { $each_price } each, credited to this order
quote-scope-samples-priced = { $count ->
    [one] 1 finish sample
   *[other] { $count } finish samples
}, { $each_price } each, billed apart
quote-scope-delivery = { $trips ->
    [one] Delivery, 1 trip
   *[other] Delivery, { $trips } trips
}
quote-scope-no-delivery = Delivery
quote-scope-installation = Installation
quote-scope-installation-count = Installation of { $count } pieces
quote-scope-installation-of = Installation of { $marks }
quote-scope-plumbing = Plumbing, sink and faucet connections
quote-scope-gas = Gas lines, burners and venting
quote-scope-wall = Anchors and their design, backup wall and joint sealant
quote-scope-planting = Soil, planting, irrigation and drain connections
quote-scope-support = Cabinets, brackets and floor reinforcement

quote-options = Options
quote-option = Option
quote-option-price = Adds, before tax
quote-option-in-price = in the price
quote-option-choice = Your choice
quote-option-taken = taken, in the price
quote-alternates = Alternates
quote-alternate = Instead of base price
quote-alternate-price = Price before tax
quote-alternate-more = Difference
quote-note = Note
quote-changes = Change orders
quote-change-number = No.
quote-change-reason = Change
quote-change-price = Before tax
quote-change-days = Working days
quote-change-signed = Signed
quote-change-unsigned = not signed, not in the price

quote-payment = Payment
quote-payment-step = Payment
quote-payment-due = Due
quote-payment-share = Share
quote-step = { $key ->
   *[other] { $step }
}
quote-due = { $key ->
   *[other] { $due }
}
quote-payment-paid = paid
quote-payment-received = Received
quote-payment-balance = Balance due
quote-terms = Terms

quote-approvals = Approvals needed before casting
quote-approvals-signed = Approvals
quote-approval = { $key ->
    [sketch] shop drawing
    [sample] color and finish sample
   *[template] template
}
quote-approval-signed = { $approval }, signed { $day }
quote-acceptance = I accept { $number ->
    [none] this quote
   *[other] quote { $number }
}{ $revision ->
    [none] {""}
   *[other] , revision { $revision },
} and its terms for { $total_price }, tax included.
quote-sign-client = Client
quote-sign-shop = For the shop

# The terms that a quote has unless the shop writes its own. They are examples, not legal advice.
term-sizes = Prices cover only the pieces and sizes listed. Changes after sign-off need a signed change order.
term-by-hand = Each piece is cast by hand. Tone, pinholes and fine surface crazing vary within the range of the signed sample.
term-sealer = Sealer resists stains but does not stop them. Wipe up spills and reseal as the manufacturer recommends.
term-trivets = Use cutting boards and trivets. Knives and hot pans mark the sealer.
term-weights = Weights are estimates. The client must confirm that the structure under or behind the pieces can carry them.
term-anchors = A licensed engineer must design the anchors and backup wall for wind and seismic. That design is not included.
term-planters = Set planters empty on a surface that can carry them full of wet soil. Keep the drains open.
term-burners = Burners, gas lines and clearances to combustibles are the installer's responsibility under local code.
