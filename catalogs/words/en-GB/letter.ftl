letter-tax-number = VAT no. { $number }
