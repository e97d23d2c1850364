# The change order: what changes, why, days, money, signatures.

change-title = Change order { $number }
change-purpose = { $signed ->
    [yes] Part of the order since it was signed.
   *[no] Not part of the order until the client signs.
}
change-number = Change order no.
change-order-number = Order no.
change-date = Date
change-signed = Signed
change-unsigned = not yet
change-days = Schedule
change-days-more = { $days ->
    [0] no change
    [one] 1 working day later
   *[other] { $days } working days later
}
change-days-less = { $days ->
    [one] 1 working day sooner
   *[other] { $days } working days sooner
}
change-reason = Reason
change-what = What changes
change-piece = Piece
change-change = Change
change-amount = Before tax
change-added = Added: { $count ->
    [one] 1 piece
   *[other] { $count } pieces
}, { $size }
change-removed = Removed: { $count ->
    [one] 1 piece
   *[other] { $count } pieces
}
change-size = Size { $before }, now { $after }
change-quantity = Quantity { $before }, now { $after }
change-detail = Now: { $detail }
change-mix = Mix or layers changed
change-shape = Shape changed
change-other = Other details changed
change-rest = Other pieces and shared costs
change-terms = Work and terms of the job
change-total = This change
change-money = Price
change-money-before = Order total before this change
change-money-price = This change, before tax
change-money-tax = Tax on this change
change-money-total = New order total
change-money-paid = Paid
change-money-due = Balance due
change-acceptance = I accept change order { $number }. The new order total is { $total_price }, tax included.
