# Lines of the price, from material to tax.

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
price-line-adjustment = Adjustment
price-line-held = Keeps the accepted price
price-line-tax-agreed = Tax, as accepted
price-line-tax-price = Tax, { $of_share }
price-line-tax-pieces = Tax on pieces, { $of_share }
price-line-tax-template = Tax on template, { $of_share }
price-line-tax-delivery = Tax on delivery, { $of_share }
price-line-tax-installation = Tax on installation, { $of_share }
price-line-tax-options = Tax on options, { $of_share }
