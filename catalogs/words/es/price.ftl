# Los impuestos de la cotización.

price-line-tax-agreed = Impuesto, según lo aceptado
price-line-tax-price = Impuesto, { $of_share }
price-line-tax-pieces = Impuesto sobre piezas, { $of_share }
price-line-tax-template = Impuesto sobre plantilla, { $of_share }
price-line-tax-delivery = Impuesto sobre entrega, { $of_share }
price-line-tax-installation = Impuesto sobre instalación, { $of_share }
price-line-tax-options = Impuesto sobre opciones, { $of_share }
