# Purchase orders, one per supplier, and the material list that stays in the shop.

order-title = Purchase order
order-title-number = Purchase order { $number }
order-purpose = Please confirm price and delivery date.
order-supplier = Supplier
order-supplier-unnamed = Supplier not named
order-ship-to = Ship to
order-number = Order no.
order-account = Account no.
order-date = Order date
order-required-by = Required by
order-job = Job
order-lift-gate = Lift gate required
order-undated = not dated
order-as-agreed = as agreed

order-items = Items
order-item-number = Item no.
order-item = Item
order-pack = Package
order-quantity = Qty
order-unit-price = Unit price
order-amount = Amount
order-weight = Weight, { $unit }
order-needed-by = Needed by
order-goods = Goods
order-small-order = Small-order charge
order-total = Total before tax
order-gross = Gross weight incl. pallets
order-pallets = Pallets
order-packages = Packages
order-unweighed = Without weight, not in the gross weight: { $items }.
order-unpriced = Unpriced lines are not in the total. Quote a price before you ship.
order-signed = Ordered for the shop

freight-delivery = Delivery
freight-zone = Zone { $zone }
freight-lift-gate = Lift gate
freight-pallets = Freight, { $count ->
    [one] 1 pallet
   *[other] { $count } pallets
}
freight-weight = Freight by weight, { $high_kg }

material-list-title = Material list
material-list-purpose = Internal. Full packages only, less stock on hand.
material-list-order = To order
material-list-material = Material
material-list-needed = Needed
material-list-in-stock = In stock
material-list-packages = Order
material-list-supplier = Supplier
material-list-left-over = Left over
material-list-amount = { $currency }
material-list-total = Goods
material-list-order-total = To pay, with freight
material-list-by-mass = Order by weight, no package known
material-list-stock = In stock – do not order
material-list-first-needed = First needed by
material-list-unpriced = Unpriced lines are not in the total. Ask the supplier for a price.
order-pieces = { $count ->
    [one] 1 pc
   *[other] { $count } pcs
}
material-list-examples = Prices in the built-in catalog are examples. Enter your suppliers' prices.
