change-amount = Before VAT
change-money-price = This change, before VAT
change-money-tax = VAT on this change
change-acceptance = I accept change order { $number }. The new order total is { $total_price }, VAT included.
