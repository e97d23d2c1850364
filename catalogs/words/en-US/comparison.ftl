# Jobs side by side, and what moves the price most.

compare-job = Job
compare-weight = Weight
compare-cost = Cost
compare-mix = Mix
compare-material = Material
compare-piece = Piece { $mark }
compare-pieces = Pieces
compare-finished-area = Finished area
compare-batches = Batches
compare-casting-days = Casting days
compare-days-to-ship = Days to ship
compare-labor = Labor
compare-all-installed = All pieces, installed
compare-heaviest = Heaviest piece, max.
compare-most-people = Most people for one piece
compare-direct-materials = Materials
compare-direct-consumables = Consumables
compare-direct-labour = Labor
compare-direct-allowances = Allowances
compare-direct-forms = Forms
compare-direct-freight = Supply freight
compare-direct-delivery = Delivery
compare-direct-gear = Hoist or lift rental
compare-direct-overhead = Overhead
compare-direct-margin = Margin
compare-price = Price before tax
compare-total = Total with tax
compare-named = { $of_name }
compare-quantity = Quantity
compare-installed = Installed, each
compare-lift = Max. lift, each
compare-people = People
compare-price-all = Price, all

swing-waste = Waste on cast volume
swing-light-price = Price of light aggregate
swing-other-price = Price of all other material
swing-rates = Labor rates
swing-hours = Hours
swing-thickness = Thickness
swing-density = Density, by air
swing-points = ± { $points ->
    [one] 1 point
   *[other] { $points } points
}
swing-share = ± { $moved_share }
swing-length = ± { $moved_m }
