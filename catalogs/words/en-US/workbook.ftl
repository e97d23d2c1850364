# The workbooks estimate.xlsx and order.xlsx. A sheet's name is one word, by which formulas find it.

workbook-order = Order
workbook-estimate = Estimate
workbook-price = Price
workbook-pieces = Pieces
workbook-weights = Weights
workbook-mixes = Mixes
workbook-batches = Batches
workbook-materials = Materials
workbook-packages = Packages
workbook-consumables = Consumables
workbook-labor = Labor
workbook-calendar = Calendar
workbook-cautions = Cautions

sheet-total = Total
sheet-mark = Mark
sheet-description = Description
sheet-quantity = Qty
sheet-use = Use
sheet-length = Length, { $unit }
sheet-width = Width, { $unit }
sheet-height = Height, { $unit }
sheet-concrete-each = Concrete each, { $unit }
sheet-concrete-all = Concrete all, { $unit }
sheet-area-each = Area each, { $unit }
sheet-installed-each = Installed each, { $unit }
sheet-installed-all = Installed all, { $unit }
sheet-max-lift = Max. lift, { $unit }
sheet-max-flip = Max. flip, { $unit }
sheet-crew = Crew
sheet-price-all = Price all, { $unit }
sheet-price-each = Price each, { $unit }
sheet-stage = Stage
sheet-low = Low, { $unit }
sheet-expected = Expected, { $unit }
sheet-high = High, { $unit }
sheet-mix = Mix
sheet-material = Material
sheet-recipe = Recipe, { $unit }
sheet-to-batch = To batch, { $unit }
sheet-needed = Needed, { $unit }
sheet-density = { $mix }: fresh and installed, { $unit }
sheet-pour = Pour
sheet-batches = Batches
sheet-each = Each, { $unit }
sheet-all = All, { $unit }
sheet-fills = Fills
sheet-in-stock = In stock, { $unit }
sheet-bought = Bought, { $unit }
sheet-left-over = Left over, { $unit }
sheet-list-price = List price per { $unit }
sheet-packages-alone = Packages alone, { $unit }
sheet-charged = Charged, { $unit }
sheet-package = Package
sheet-supplier = Supplier
sheet-unit-price = Unit price, { $unit }
sheet-amount = Amount, { $unit }
sheet-measure = Unit
sheet-amount-needed = Needed
sheet-amount-in-stock = In stock
sheet-amount-left = Left over
sheet-activity = Activity
sheet-people = People
sheet-hours = Hours
sheet-rate = Rate
sheet-cost = Cost, { $unit }
sheet-line = Line
sheet-base = Base
sheet-share-of = Direct cost
sheet-direct-cost = Direct cost
sheet-overhead = Overhead, on direct cost
sheet-markup = Markup, on cost
sheet-margin = Margin, of price
sheet-price-before-tax = Price before tax
sheet-grand-total = Total with tax
sheet-live = Amounts in { $currency }. Change an hour, a count or a rate and the total follows.
sheet-unpriced = Not in the total, no price: { $item }
sheet-examples = Prices in the built-in catalog are examples. Enter your suppliers' prices.
sheet-kind = Kind
sheet-text = What to do
sheet-source = Source
sheet-warning = warning
sheet-stage-name = { $stage ->
    [fresh] Fresh
    [demould] At stripping
    [transport] On the truck
    [installed] Installed
   *[soaked] Soaked, outdoors
}
sheet-by-machine = machine

# The comment at the head of shelf.toml.
stock-file =
    Stock left after this job, if all goes as estimated. Weigh it before you count on it.
    To use it in the next job, write stock_file = "shelf.toml" under [job]. That job's own [stock] wins.
