order-total = Total before VAT
order-lift-gate = Tail lift required
freight-lift-gate = Tail lift
freight-pallets = Carriage, { $count ->
    [one] 1 pallet
   *[other] { $count } pallets
}
freight-weight = Carriage by weight, { $high_kg }
material-list-order-total = To pay, with carriage
