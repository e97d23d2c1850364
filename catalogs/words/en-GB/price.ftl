price-line-freight = Carriage of supplies
price-line-gear = Hoist or lift hire
price-line-tax-price = VAT, { $of_share }
price-line-tax-pieces = VAT on pieces, { $of_share }
price-line-tax-template = VAT on template, { $of_share }
price-line-tax-delivery = VAT on delivery, { $of_share }
price-line-tax-installation = VAT on installation, { $of_share }
price-line-tax-options = VAT on options, { $of_share }
