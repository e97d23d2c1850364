# What every paper that leaves the shop under its name shares.

letter-license = License no. { $number }
letter-tax-number = Tax no. { $number }
letter-sign-signature = Signature
letter-sign-name = Name
letter-sign-date = Date
