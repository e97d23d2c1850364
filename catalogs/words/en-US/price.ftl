# Lines of the price, from material to tax, and what pricing warns of.

price-line-materials = Materials
price-line-consumables = Consumables
price-line-labor = Labor
price-line-sizes = Allowance for sizes not templated, { $of_share } of { $base_price }
price-line-remake = Allowance for remakes, { $risk ->
    [colour-critical] color-critical
    [large] large
    [thin-railed] thin-railed
   *[plain] plain
} pieces, { $of_share } of { $base_price }
price-line-forms = Forms
price-line-freight = Supply freight
price-line-delivery = Delivery
price-line-gear = Hoist or lift rental
price-line-overhead = Overhead, { $of_share } of direct cost
price-line-margin = Margin, { $of_share } of price
price-line-markup = Markup, { $of_share } on cost
price-line-options = Options taken
price-line-minimum = Adjustment to minimum charge
price-line-rounding = Rounding
price-line-tax-price = Tax, { $of_share }
price-line-tax-pieces = Tax on pieces, { $of_share }
price-line-tax-template = Tax on template, { $of_share }
price-line-tax-delivery = Tax on delivery, { $of_share }
price-line-tax-installation = Tax on installation, { $of_share }
price-line-tax-options = Tax on options, { $of_share }

pricing-margin-whole = a margin of 100% leaves nothing for the cost.
    .fix = Write margin = 0.30 for 30% of the price.

warning-hours-unusual = Labor is { $rate_s_m2 } of finished face, { $low_rate_s_m2 } to { $high_rate_s_m2 } is usual. { $side ->
    [high] A small job carries its visits and setup alone.
   *[low] An activity may be missing.
} Check the hours by activity.
