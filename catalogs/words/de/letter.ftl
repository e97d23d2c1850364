# Was die Papiere gemeinsam haben, die mit dem Namen der Werkstatt hinausgehen.

letter-license = Zulassungs-Nr. { $number }
letter-tax-number = Steuer-Nr. { $number }
letter-sign-signature = Unterschrift
letter-sign-name = Name
letter-sign-date = Datum
