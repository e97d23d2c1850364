sheet-price-before-tax = Price before VAT
sheet-grand-total = Total with VAT
