# Der Nachtrag: was sich ändert, warum, Tage, Geld, Unterschriften.

change-title = Nachtrag { $number }
change-purpose = { $signed ->
    [yes] Mit der Unterschrift Teil des Auftrags.
   *[no] Erst mit Unterschrift des Kunden Teil des Auftrags.
}
change-number = Nachtrag Nr.
change-order-number = Auftrags-Nr.
change-date = Datum
change-signed = Unterschrieben
change-unsigned = noch nicht
change-days = Termin
change-days-more = { $days ->
    [0] unverändert
    [one] 1 Arbeitstag später
   *[other] { $days } Arbeitstage später
}
change-days-less = { $days ->
    [one] 1 Arbeitstag früher
   *[other] { $days } Arbeitstage früher
}
change-reason = Grund
change-what = Was sich ändert
change-piece = Teil
change-change = Änderung
change-amount = Netto
change-added = Neu: { $count ->
    [one] 1 Teil
   *[other] { $count } Teile
}, { $size }
change-removed = Entfällt: { $count ->
    [one] 1 Teil
   *[other] { $count } Teile
}
change-size = Maß { $before }, jetzt { $after }
change-quantity = Menge { $before }, jetzt { $after }
change-detail = Jetzt: { $detail }
change-mix = Rezeptur oder Schichten geändert
change-shape = Form geändert
change-other = Andere Einzelheiten geändert
change-rest = Andere Teile und gemeinsame Kosten
change-terms = Leistungen und Bedingungen des Auftrags
change-total = Dieser Nachtrag
change-money = Preis
change-money-before = Auftragssumme vor diesem Nachtrag
change-money-price = Dieser Nachtrag, netto
change-money-tax = MwSt. auf diesen Nachtrag
change-money-total = Neue Auftragssumme
change-money-paid = Bezahlt
change-money-due = Offener Betrag
change-acceptance = Ich nehme den Nachtrag { $number } an. Die neue Auftragssumme ist { $total_price } einschließlich MwSt.
